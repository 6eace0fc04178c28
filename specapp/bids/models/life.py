"""What ends an enquiry before its award."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.bids.models.enquiries import LONGEST_REASON, Enquiry, Stage


class Cancellation(models.Model):
    """An enquiry is given up, with a reason that stays inside; bidders are told that it is, not why."""

    enquiry = models.OneToOneField(Enquiry, on_delete=models.PROTECT, related_name="cancellation")
    stage_before = models.CharField(max_length=12, choices=Stage)
    reason = models.CharField(max_length=LONGEST_REASON)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    by_name = models.CharField(max_length=200)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="enquiry_cancelled_with_reason"),
        ]

    def __str__(self) -> str:
        return f"{self.enquiry}, cancelled"
