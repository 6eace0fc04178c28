"""What a bidder says that makes no offer."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.bids.models.enquiries import LONGEST_REASON, Bidder


class Declining(models.Model):
    """A bidder makes no offer, with a reason, or takes that back; the last row of a bidder is in force.

    Rows are only added, so that both stay readable.
    """

    bidder = models.ForeignKey(Bidder, on_delete=models.PROTECT, related_name="declinings")
    declines = models.BooleanField()
    reason = models.CharField(max_length=LONGEST_REASON, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    by_name = models.CharField(max_length=200)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(declines=False) | ~Q(reason=""), name="declined_with_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.bidder}: {'no offer' if self.declines else 'an offer after all'}"
