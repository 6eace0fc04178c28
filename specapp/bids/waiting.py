"""What enquiries have for a bidder's people: an invitation, an amendment, a question."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse

from specapp.bids.access import biddings_of
from specapp.bids.models import Bidder
from specapp.bids.services.bidding import ANSWERED_UNTIL, may_decline
from specapp.core.mail.waiting import Waiting
from specapp.core.models import User


def waiting_for_person(person: User, since: datetime, now: datetime) -> Iterator[Waiting]:
    """Yield what the person's organisation is asked for, each with the way to its own page."""
    for bidder in biddings_of(person).prefetch_related("declinings"):
        if bidder.declined is None:
            yield from _issued(bidder, now)
            yield from _questions(bidder)


def _issued(bidder: Bidder, now: datetime) -> Iterator[Waiting]:
    """Yield what is not acknowledged; after the closing time nothing of it can be answered any more."""
    if not may_decline(bidder, now):
        return
    seen = bidder.acknowledgements.values("amendment")
    for number in bidder.enquiry.amendments.exclude(pk__in=seen).values_list("number", flat=True):
        kinds = (
            ("amendment of an enquiry to acknowledge", "amendments of an enquiry to acknowledge")
            if number
            else ("invitation to make an offer", "invitations to make an offer")
        )
        yield Waiting(1, *kinds, _page(bidder), ask=f"issue:{bidder.pk}:{number}")


def _questions(bidder: Bidder) -> Iterator[Waiting]:
    if bidder.enquiry.stage not in ANSWERED_UNTIL:
        return
    for key in bidder.clarifications.filter(answered_at=None, closed_at=None).values_list("pk", flat=True):
        kinds = ("clarification to answer", "clarifications to answer")
        yield Waiting(1, *kinds, _page(bidder), ask=f"clarification:{key}")


def _page(bidder: Bidder) -> str:
    return reverse("bids:bidding-show", args=[bidder.code])
