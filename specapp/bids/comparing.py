"""Every opened offer held against one sheet, in a fixed number of queries, and the prices as bids/1."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import msgspec

from specapp.bids.judging import JudgedOffer, in_force, judged_all
from specapp.bids.loading import loads_in_force, loads_told, rates_of
from specapp.bids.models import DecidedLoad, Enquiry, Envelope, Offer, OfferContent, Part
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

    `prices` are the opened price offers by their offer's key; none where prices were not asked for.
    """

    sheet: EnquirySheet
    terms: dict[str, Any]
    offers: list[JudgedOffer]
    prices: Mapping[int, PriceOffer] = field(default_factory=dict)

    @property
    def rates(self) -> dict[str, float]:
        """Return the rate of every currency of the frozen rules."""
        return rates_of(self.terms["settings"])

    @property
    def unrated(self) -> list[str]:
        """Return which opened price has a currency that the frozen rules give no rate for."""
        ask = "its price is left out. Ask for it in a currency of the rules."
        return [
            f"{each.offer} is {_no_rate(price)}: {ask}"
            for each in self.offers
            if (price := self.prices.get(each.offer.pk)) is not None and price.currency not in self.rates
        ]


def _no_rate(price: PriceOffer) -> str:
    return f"priced in {price.currency}, for which the frozen rules have no rate"


def compared(enquiry: Enquiry) -> Compared:
    """Return every offer whose technical file is open."""
    sheet, terms = in_force(enquiry)
    return Compared(sheet, terms, judged_all(enquiry, sheet, terms))


def acceptable_offers(enquiry: Enquiry) -> list[Offer]:
    """Return the opened offers that reach the pass mark and meet every knock-out."""
    return [each.offer for each in compared(enquiry).offers if each.passes]


def opened_prices(offers: Sequence[Offer]) -> dict[int, PriceOffer]:
    """Return what was read last of the opened price of each offer, in one query."""
    rows = OfferContent.objects.filter(
        envelope__offer__in=offers, envelope__part=Part.PRICE, envelope__opened_at__isnull=False
    )
    contents = dict(rows.order_by("pk").values_list("envelope__offer", "content"))
    return {pk: msgspec.convert(content, PriceOffer, strict=False) for pk, content in contents.items()}


def _bids(found: Compared) -> Bids:
    """Return the opened offers with their opened prices as bids/1, by the rules of the last amendment.

    An offer without an opened price stands there with its score alone, and so does one whose currency has no
    rate (`Compared.unrated`). Raises `InputErrors` where the rules and the offers do not fit.
    """
    titles = {item.key: item.title for item in found.sheet.items}
    loads = loads_in_force([each.offer for each in found.offers])
    bidders = [_bidder(each, found, loads.get(each.offer.pk, {})) for each in found.offers]
    for bidder in bidders:
        for part in ("items", "decided_loads"):
            if part in bidder:
                bidder[part] = {titles.get(key, key): value for key, value in bidder[part].items()}
    return read_bids(
        {
            "format": "bids/1",
            "settings": _told(found.terms["settings"], found),
            "items": list(titles.values()),
            "bidders": bidders,
        }
    )


def _bidder(each: JudgedOffer, found: Compared, loads: Mapping[str, DecidedLoad]) -> dict[str, Any]:
    price, because = found.prices.get(each.offer.pk), "its price is not opened, or it sent none"
    if price is not None and price.currency not in found.rates:
        price, because = None, _no_rate(price)
    return bidder_document(
        str(each.offer),
        price,
        weeks=offered_weeks(each, found.sheet),
        factors=each.factors,
        rates=found.rates,
        currency=found.terms["settings"]["currency"],
        loads=None if price is None else loads_told(loads, price, found.rates),
        unpriced_because=because,
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
    found = replace(found, prices=opened_prices([each.offer for each in found.offers]))
    bids = _bids(found)
    return found, bids, evaluate(bids)


def sealed_count(enquiry: Enquiry) -> int:
    """Return how many price files of opened offers are still sealed."""
    return Envelope.objects.filter(
        offer__bidder__enquiry=enquiry, part=Part.PRICE, opened_at__isnull=True
    ).count()
