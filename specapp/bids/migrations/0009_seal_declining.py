"""What a bidder said about declining is sealed by the database: not changed, not deleted."""

from django.db import migrations

from specapp.core.seals import Seals, whole

SEALS = Seals("What a bidder said never changes: a new word follows it", whole("bids_declining"))


class Migration(migrations.Migration):
    dependencies = [("bids", "0008_bidders_decline")]

    operations = [SEALS.operation]
