"""A run of the bench is sealed by the database: not changed, not deleted, whoever asks."""

from django.db import migrations

from specapp.core.seals import Seals, whole

SEALS = Seals("A run of the bench never changes", whole("verification_benchrun"))


class Migration(migrations.Migration):
    dependencies = [("verification", "0001_bench_runs")]

    operations = [SEALS.operation]
