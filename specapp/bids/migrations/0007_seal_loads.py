"""A decision about a load is sealed by the database: not changed, not deleted."""

from django.db import migrations

from specapp.core.seals import Seals, whole

SEALS = Seals("A decision about a load never changes: a new one follows it", whole("bids_decidedload"))


class Migration(migrations.Migration):
    dependencies = [("bids", "0006_decided_loads")]

    operations = [SEALS.operation]
