"""The report that was kept with a recommendation is sealed by the database: not changed, not deleted."""

from django.db import migrations

from specapp.core.seals import Seals, whole

SEALS = Seals("A report kept with a recommendation never changes", whole("bids_keptreport"))


class Migration(migrations.Migration):
    dependencies = [("bids", "0004_kept_reports")]

    operations = [SEALS.operation]
