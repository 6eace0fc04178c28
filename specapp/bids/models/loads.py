"""What people decide that an item counts which an offer left out."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from specapp.bids.models.enquiries import LONGEST_REASON
from specapp.bids.models.offers import Offer


class DecidedLoad(models.Model):
    """A person's load for one item of one offer in place of the rule's; the last of an item is in force.

    Rows are only added, so that every decision stays readable. One without an amount takes the item back to
    the rule.
    """

    offer = models.ForeignKey(Offer, on_delete=models.PROTECT, related_name="decided_loads")
    item = models.CharField(max_length=80)
    amount = models.FloatField(null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True)
    reason = models.CharField(max_length=LONGEST_REASON)
    decided_at = models.DateTimeField()
    decided_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    decided_by_name = models.CharField(max_length=200)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(reason=""), name="load_decided_with_reason"),
            models.CheckConstraint(condition=Q(amount=None) | Q(amount__gte=0), name="load_lowers_no_price"),
            models.CheckConstraint(
                condition=Q(amount=None, currency="") | (Q(amount__isnull=False) & ~Q(currency="")),
                name="load_has_currency",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.offer}: {self.item}"
