"""Deciding what an item counts that an offer left out, in place of the rule, while prices are compared.

The caller has made sure that the author may evaluate (`specapp.bids.access`).
"""

from dataclasses import dataclass
from datetime import datetime
from math import isfinite

from django.db import transaction

from specapp.bids.comparing import opened_prices
from specapp.bids.errors import Refused, Stale
from specapp.bids.judging import sheet_in_force
from specapp.bids.loading import currencies_of, is_left_out, last_decision
from specapp.bids.models import DecidedLoad, Enquiry, Offer, Stage
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.evaluation.bids import LARGEST_AMOUNT


@dataclass(frozen=True, slots=True)
class Load:
    """What a person says an item counts; `amount` None takes it back to the rule."""

    amount: float | None
    currency: str
    reason: str


def cannot_load(enquiry: Enquiry, offer: Offer, item: str) -> str:
    """Return what stands in the way of deciding a load; empty where nothing does."""
    if enquiry.stage != Stage.PRICED:
        return (
            f"The enquiry is {enquiry.get_stage_display()}: what a missing item counts is decided after the "
            "prices are opened and before the recommendation is signed."
        )
    price = opened_prices([offer]).get(offer.pk)
    if price is None:
        return "The price of this offer is not opened."
    if not is_left_out(price, item):
        return "The offer has a price for this item, or includes it: what a bidder quoted is never moved."
    return ""


@transaction.atomic
def load_decide(
    *, offer: Offer, item: str, load: Load, seen: int, author: User, now: datetime
) -> DecidedLoad:
    """Record what an item of an offer counts. `seen` is the last decision that the author has read, or 0.

    Raises `Refused` out of turn, for an item that the offer has a price for, for a currency without a rate
    and without a reason; `Stale` where somebody decided meanwhile.
    """
    enquiry = Enquiry.objects.select_for_update().get(pk=offer.bidder.enquiry_id)
    if item not in {each.key for each in sheet_in_force(enquiry).items}:
        raise Refused("No item of that name was asked for.")
    if hinders := cannot_load(enquiry, offer, item):
        raise Refused(hinders)
    last = last_decision(offer, item)
    if (0 if last is None else last.pk) != seen:
        raise Stale("Somebody decided about this item meanwhile. Look at it again before you change it.")
    if not load.reason.strip():
        raise Refused("Say why.")
    if load.amount is None:
        if last is None or last.amount is None:
            raise Refused("The rule counts already.")
    elif not (isfinite(load.amount) and 0 <= load.amount <= LARGEST_AMOUNT):
        raise Refused("A load is an amount from 0: it never lowers a price.")
    elif load.currency not in (known := currencies_of(enquiry)):
        raise Refused(f"The frozen rules have rates for {', '.join(known)} alone.")
    row = DecidedLoad.objects.create(
        offer=offer,
        item=item,
        amount=load.amount,
        currency="" if load.amount is None else load.currency,
        reason=load.reason.strip(),
        decided_at=now,
        decided_by=author,
        decided_by_name=author.get_full_name()[:200],
    )
    entry_append(
        author=author,
        action="offer.load",
        subject=row,
        now=now,
        project_id=enquiry.project_id,
        data={"item": item, "amount": row.amount, "currency": row.currency, "reason": row.reason},
    )
    return row
