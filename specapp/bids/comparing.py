"""Every opened offer held against one sheet, in a fixed number of queries, and the prices as bids/1."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import msgspec

from specapp.bids.judging import JudgedOffer, in_force, judged_all
from specapp.bids.loading import loads_in_force, loads_told, rates_of
from specapp.bids.models import Enquiry, Envelope, Offer, OfferContent, Part
from specapp.bids.sheets import group_weights
from specapp.evaluation.bids import Bids
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.evaluating import evaluate
from specapp.evaluation.evaluation import Evaluation
from specapp.evaluation.offers_read import PriceOffer, bidder_document
from specapp.evaluation.reading import read_bids
from specapp.evaluation.replies.checking import group_factors
from specapp.evaluation.replies.offer import Standing
from specapp.evaluation.replies.quantities import Unreadable, read_offered
from specapp.evaluation.requirements.generating import requirement_giving
from specapp.evaluation.sensitivity import Dispute

_DELIVERY = "delivery_weeks"


@dataclass(frozen=True, slots=True)
class Compared:
    """The sheet in force and the opened offers, judged; in the order of the bidders' names.

    ``unrated`` says which opened price has a currency that the frozen rules give no rate for. ``prices`` are
    the opened price offers by their offer's key, as soon as they are asked for (`priced`).
    """

    sheet: EnquirySheet
    terms: dict[str, Any]
    offers: list[JudgedOffer]
    unrated: list[str] = field(default_factory=list)
    prices: dict[int, PriceOffer] = field(default_factory=dict)


def compared(enquiry: Enquiry) -> Compared:
    """Return every offer whose technical file is open."""
    sheet, terms = in_force(enquiry)
    return Compared(sheet, terms, judged_all(enquiry, sheet, terms))


def acceptable_offers(enquiry: Enquiry) -> list[Offer]:
    """Return the opened offers that reach the pass mark and meet every knock-out."""
    return [each.offer for each in compared(enquiry).offers if each.passes]


def _prices_read(offers: Sequence[Offer]) -> dict[int, OfferContent]:
    """Return what was read last of the price of each offer, in one query."""
    rows = OfferContent.objects.filter(envelope__offer__in=offers, envelope__part=Part.PRICE).order_by("pk")
    return {row.envelope.offer_id: row for row in rows.select_related("envelope").defer("envelope__content")}


def priced(found: Compared) -> Bids:
    """Return the opened offers with their opened prices as bids/1, by the rules of the last amendment.

    An offer without an opened price stands there with its score alone, and so does one whose currency has no
    rate (`Compared.unrated`). Raises `InputErrors` where the rules and the offers do not fit.
    """
    settings = found.terms["settings"]
    prices = {
        pk: msgspec.convert(row.content, PriceOffer, strict=False)
        for pk, row in _prices_read([each.offer for each in found.offers]).items()
        if row.envelope.opened_at is not None
    }
    found.prices.update(prices)
    loads = loads_in_force([each.offer for each in found.offers])
    currency, rates = settings["currency"], rates_of(settings)
    bidders = []
    for each in found.offers:
        price, because = prices.get(each.offer.pk), "its price is not opened, or it sent none"
        if price is not None and price.currency not in rates:
            because = f"priced in {price.currency}, for which the frozen rules have no rate"
            found.unrated.append(
                f"{each.offer} is priced in {price.currency}, for which the frozen rules have no rate: its "
                "price is left out. Ask for it in a currency of the rules."
            )
            price = None
        bidders.append(
            bidder_document(
                str(each.offer),
                price,
                weeks=offered_weeks(each, found.sheet),
                factors=each.factors,
                rates=rates,
                currency=currency,
                loads=None if price is None else loads_told(loads.get(each.offer.pk, {}), price, rates),
                unpriced_because=because,
            )
        )
    titles = {item.key: item.title for item in found.sheet.items}
    for bidder in bidders:
        for part in ("items", "decided_loads"):
            if part in bidder:
                bidder[part] = {titles.get(key, key): value for key, value in bidder[part].items()}
    return read_bids(
        {
            "format": "bids/1",
            "settings": _told(settings, found),
            "items": list(titles.values()),
            "bidders": bidders,
        }
    )


def _told(settings: dict[str, Any], found: Compared) -> dict[str, Any]:
    told = {name: value for name, value in settings.items() if value is not None}
    told["groups"] = group_weights(found.sheet.asked, found.terms)
    if found.terms.get("needed_weeks") is not None:
        told["needed_weeks"] = found.terms["needed_weeks"]
    return told


def offered_weeks(each: JudgedOffer, sheet: EnquirySheet) -> float | None:
    """Return the delivery time of an offer in weeks, None where it says none that can be read."""
    key = requirement_giving(_DELIVERY)
    asked = next((row for row in sheet.asked.requirements if row.id == key), None)
    reply = next((row for row in each.technical.replies if row.requirement == key), None)
    if asked is None or reply is None or not reply.offered:
        return None
    try:
        return read_offered(reply.offered, asked.criterion).high
    except Unreadable:
        return None


def disputes(found: Compared) -> Iterator[Dispute]:
    """Yield every agreed decision that differs from what the check proposed."""
    for each in found.offers:
        proposed: dict[str, Standing] = {row.requirement: row.standing for row in each.check.judgements}
        for row in each.offer.decisions.all():
            if row.agreed and proposed.get(row.requirement, row.standing) != row.standing:
                standings = {**each.standings, row.requirement: proposed[row.requirement]}
                factors = group_factors(found.sheet.asked.requirements, standings)
                what = f"{row.requirement} decided {row.standing}, proposed {proposed[row.requirement]}"
                yield Dispute(str(each.offer), what, factors)


def evaluated(enquiry: Enquiry) -> tuple[Compared, Bids, Evaluation]:
    """Return the comparison, the bids and their evaluation."""
    found = compared(enquiry)
    bids = priced(found)
    return found, bids, evaluate(bids)


def sealed_count(enquiry: Enquiry) -> int:
    """Return how many price files of opened offers are still sealed."""
    return Envelope.objects.filter(
        offer__bidder__enquiry=enquiry, part=Part.PRICE, opened_at__isnull=True
    ).count()
