"""What the price of a supply is made of, line by line, before anything is loaded."""

from __future__ import annotations

from dataclasses import dataclass
from math import fsum

from specapp.evaluation.offers_read import PriceLine, PriceOffer


@dataclass(frozen=True, slots=True)
class SupplyParts:
    """The parts of the supply in the currency of comparison; they sum to the line fob of the evaluation.

    `discount` is negative or 0. There is no part for corrections: totals of a form are unit price times
    quantity, worked out on reading and never taken from the bidder.
    """

    supply: float
    spares: float
    discount: float

    @property
    def fob(self) -> float:
        return fsum((self.supply, self.spares, self.discount))


def supply_parts(price: PriceOffer, rate: float) -> SupplyParts | None:
    """Return the parts at a rate of exchange; None where a line of the supply or its spares has no price."""
    if price.fob is None:
        return None
    supply, spares = lines_total(price.supply) * rate, lines_total(price.spares) * rate
    percent = price.terms.get("discount_percent")
    share = percent / 100 if isinstance(percent, int | float) else 0.0
    return SupplyParts(supply, spares, 0.0 - (supply + spares) * share)


def lines_total(lines: tuple[PriceLine, ...]) -> float:
    """Return the sum of the lines that have a price, in the offer's own currency."""
    return fsum(line.total for line in lines if line.total is not None)
