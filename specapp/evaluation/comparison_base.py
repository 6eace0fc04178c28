"""What the other offers say: the base from which a part that one bidder left out is loaded."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from specapp.evaluation.bids import Bidder, Settings

_PARTS = ("taxes", "freight_insurance", "inland")


class Quote(NamedTuple):
    """A price above 0 that a bidder quoted for a part, in the currency of comparison."""

    part: str
    amount: float
    name: str


@dataclass(frozen=True, slots=True)
class HighestQuotes:
    """The highest quotes for each part, the best two of which answer for every bidder's others."""

    by_part: dict[str, tuple[Quote, ...]]

    def of_others(self, part: str, name: str) -> Quote | None:
        """Return the highest quote that is not this bidder's own; None where nobody else quoted."""
        return next((quote for quote in self.by_part.get(part, ()) if quote.name != name), None)


def highest_item_quotes(bidders: Sequence[Bidder]) -> HighestQuotes:
    """Return the highest quotes for each item.

    An item that is included, or priced 0, has no price of its own and loads nobody.
    """
    return _highest(
        Quote(item, answer, bidder.name)
        for bidder in bidders
        for item, answer in bidder.items.items()
        if isinstance(answer, float)
    )


def highest_part_quotes(bidders: Sequence[Bidder], settings: Settings) -> HighestQuotes:
    """Return the highest quotes for taxes, freight and insurance, inland carriage."""
    return _highest(
        Quote(part, amount * rate(bidder, settings), bidder.name)
        for bidder in bidders
        for part in _PARTS
        if (amount := getattr(bidder, part)) is not None
    )


def rate(bidder: Bidder, settings: Settings) -> float:
    """Return how much of the currency of comparison one unit of the bidder's currency is."""
    if bidder.currency is None or bidder.currency == settings.currency:
        return 1.0
    return settings.rates[bidder.currency]


def _highest(quotes: Iterable[Quote]) -> HighestQuotes:
    by_part: defaultdict[str, list[Quote]] = defaultdict(list)
    for quote in quotes:
        if quote.amount > 0:
            by_part[quote.part].append(quote)
    # Of equal quotes the first by name, so that the order of the bidders changes no word.
    return HighestQuotes(
        {part: tuple(sorted(each, key=lambda q: (-q.amount, q.name))[:2]) for part, each in by_part.items()}
    )
