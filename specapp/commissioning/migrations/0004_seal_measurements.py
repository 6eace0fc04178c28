"""A record of a measurement is sealed by the database: no update, whoever asks."""

from django.db import migrations

from specapp.core.seals import Seal, Seals

SEALS = Seals(
    "What was measured never changes: a correction is a new record",
    (Seal("commissioning_measurement", "UPDATE", name="commissioning_measurement_sealed"),),
)


class Migration(migrations.Migration):
    dependencies = [("commissioning", "0003_measurements")]

    operations = [SEALS.operation]
