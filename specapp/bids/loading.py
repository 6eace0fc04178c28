"""Loads that people decided for items which an offer left out, as the evaluation takes them."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils import timezone

from specapp.bids.models import DecidedLoad, Enquiry, Offer
from specapp.evaluation.offers_read import PriceOffer
from specapp.evaluation.scalars import BY_OTHERS


def is_left_out(price: PriceOffer, item: str) -> bool:
    """Tell whether an offer has neither a price for an item nor includes it."""
    return price.items.get(item) in (None, BY_OTHERS)


def loads_in_force(offers: Sequence[Offer]) -> dict[int, dict[str, DecidedLoad]]:
    """Return by offer and item the load that counts, in one query; none where the rule counts again."""
    last: dict[int, dict[str, DecidedLoad]] = {}
    for row in DecidedLoad.objects.filter(offer__in=offers).order_by("pk"):
        last.setdefault(row.offer_id, {})[row.item] = row
    return {
        offer: {item: row for item, row in rows.items() if row.amount is not None}
        for offer, rows in last.items()
    }


def loads_told(
    rows: Mapping[str, DecidedLoad], price: PriceOffer, rates: Mapping[str, float]
) -> dict[str, dict[str, Any]]:
    """Return loads as bids/1 has them, by item; none for an item that the offer has a price for."""
    return {
        row.item: {
            "amount": row.amount * rates[row.currency],
            "reason": row.reason,
            "by": f"{row.decided_by_name}, {timezone.localdate(row.decided_at)}",
        }
        for row in rows.values()
        if row.amount is not None and is_left_out(price, row.item)
    }


def rates_of(settings: Mapping[str, Any]) -> dict[str, float]:
    """Return the rate of every currency of the frozen rules, that of comparison among them."""
    return {settings["currency"]: 1.0, **settings.get("rates", {})}


def last_decision(offer: Offer, item: str) -> DecidedLoad | None:
    """Return the last decision about an item, one that took it back to the rule too."""
    return offer.decided_loads.filter(item=item).last()


def currencies_of(enquiry: Enquiry) -> list[str]:
    """Return the currencies a load may be told in: those the frozen rules have a rate for."""
    amendment = enquiry.amendments.last()
    return [] if amendment is None else list(rates_of(amendment.terms["settings"]))
