"""To whom an issue was sent, and who received it, is sealed by the database: lines are added, never changed."""

from django.db import migrations

from specapp.core.seals import Seals, whole

SEALS = Seals("What was sent and received never changes", whole("revisions_recipient", "revisions_receipt"))


class Migration(migrations.Migration):
    dependencies = [("revisions", "0003_distribution")]

    operations = [SEALS.operation]
