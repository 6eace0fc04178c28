"""What the other offers say: the base from which a part that one bidder left out is loaded."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from specapp.evaluation.bids import Bidder, Settings

_PARTS = ("taxes", "freight_insurance", "inland")


class Quote(NamedTuple):
    """A price above 0 that a bidder quoted, in the currency of comparison."""

    amount: float
    name: str


@dataclass(frozen=True, slots=True)
class HighestQuotes:
    """The highest quote for each part and the second: together they answer for every bidder's others."""

    best: dict[str, Quote]
    second: dict[str, Quote]

    def of_others(self, part: str, name: str) -> Quote | None:
        """Return the highest quote that is not this bidder's own; None where nobody else quoted."""
        best = self.best.get(part)
        return self.second.get(part) if best is not None and best.name == name else best


def highest_item_quotes(bidders: Sequence[Bidder]) -> HighestQuotes:
    """Return the highest quotes for each item.

    An item that is included, or priced 0, has no price of its own and loads nobody.
    """
    return _highest(
        (item, answer, bidder.name)
        for bidder in bidders
        for item, answer in bidder.items.items()
        if type(answer) is float
    )


def highest_part_quotes(bidders: Sequence[Bidder], settings: Settings) -> HighestQuotes:
    """Return the highest quotes for taxes, freight and insurance, inland carriage."""
    return _highest(
        (part, amount * rate(bidder, settings), bidder.name)
        for bidder in bidders
        for part in _PARTS
        if (amount := getattr(bidder, part)) is not None
    )


def rate(bidder: Bidder, settings: Settings) -> float:
    """Return how much of the currency of comparison one unit of the bidder's currency is."""
    if bidder.currency is None or bidder.currency == settings.currency:
        return 1.0
    return settings.rates[bidder.currency]


def _highest(quotes: Iterable[tuple[str, float, str]]) -> HighestQuotes:
    """Return the best two of quotes told as part, amount and name of the bidder."""
    best: dict[str, Quote] = {}
    second: dict[str, Quote] = {}
    for part, amount, name in quotes:
        if amount <= 0:
            continue
        leader = best.get(part)
        if leader is None:
            best[part] = Quote(amount, name)
        elif _before(amount, name, leader):
            best[part], second[part] = Quote(amount, name), leader
        elif part not in second or _before(amount, name, second[part]):
            second[part] = Quote(amount, name)
    return HighestQuotes(best, second)


def _before(amount: float, name: str, other: Quote) -> bool:
    # Of equal quotes the first by name, so that the order of the bidders changes no word.
    return amount > other.amount or (amount == other.amount and name < other.name)
