"""The evaluation as a page and a report read it: ranking, and money line by line with its reasons."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from specapp.evaluation.amounts import amount_text
from specapp.evaluation.bids import Bids
from specapp.evaluation.evaluation import FILLED_IN, Evaluation, Reason
from specapp.evaluation.price_parts import SupplyParts
from specapp.evaluation.sensitivity import leader, margin

LINE_TITLES = {
    "fob": "Supply with the spares asked for, discounted",
    "taxes": "Taxes and duties",
    "freight_insurance": "Freight and insurance",
    "inland": "Inland transport",
    "items": "Items beside the supply",
    "late": "Late delivery",
    "interest": "Advance payment, interest",
}

_NO_PRICE = {True: "no price", False: "sealed"}


@dataclass(frozen=True, slots=True)
class Money:
    """One figure of one offer: its text, how it came about, and whether it was filled in for the bidder.

    `by_rule` is what the rule says where a person decided; `address` leads to deciding it.
    """

    text: str
    how: str
    is_filled_in: bool
    value: float | None = None
    by_rule: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class MoneyLine:
    title: str
    cells: tuple[Money, ...]


@dataclass(frozen=True, slots=True)
class Standing:
    """An offer in the ranking: place, prices, score; `because` where it has no place."""

    name: str
    rank: str
    as_read_place: str
    as_read: str
    evaluated: str
    technical: str
    because: str


def standings(evaluation: Evaluation) -> list[Standing]:
    """Return every offer, the ranked ones first in their order."""
    rows = evaluation.rankings[0].rows if evaluation.rankings else ()
    ranks = {row.name: row.rank for row in rows}
    read = sorted(each.as_read for each in evaluation.bidders if each.as_read is not None)
    placed = sorted(evaluation.bidders, key=lambda each: (ranks.get(each.name, len(ranks) + 1), each.name))
    return [
        Standing(
            each.name,
            str(ranks[each.name]) if each.name in ranks else "–",
            "–" if each.as_read is None else str(read.index(each.as_read) + 1),
            _NO_PRICE[each.passes] if each.as_read is None else amount_text(each.as_read),
            "–" if each.as_read is None else amount_text(each.evaluated),
            "–" if each.technical is None else f"{each.technical:.1f}",
            "" if each.ranked else each.unranked_because or "",
        )
        for each in placed
    ]


def build_up(
    evaluation: Evaluation,
    parts: Mapping[str, SupplyParts],
    addresses: Mapping[tuple[str, str], str] | None = None,
) -> list[MoneyLine]:
    """Return the lines of the evaluated price side by side, the supply and the items part by part.

    `parts` are those of the supply by the name of the offer; `addresses` lead to the load of an item by the
    name of its offer and its own.
    """
    addresses = addresses or {}
    offers = [each for each in evaluation.bidders if each.lines]
    names = list(dict.fromkeys(name for each in offers for name in each.lines))
    lines = []
    for name in names:
        lines.append(
            MoneyLine(
                LINE_TITLES.get(name, name),
                tuple(_money(name, each.lines, each.reasons.lines) for each in offers),
            )
        )
        if name == "fob":
            lines += _supply([parts.get(each.name) for each in offers])
        if name == "items":
            items = dict.fromkeys(item for each in offers for item in each.items)
            lines += [
                MoneyLine(
                    f"– {item}",
                    tuple(
                        _money(item, each.items, each.reasons.items, addresses.get((each.name, item), ""))
                        for each in offers
                    ),
                )
                for item in items
            ]
    as_read = tuple(
        Money(amount_text(each.as_read), "what was quoted, no load", False, each.as_read) for each in offers
    )
    whole = tuple(
        Money(amount_text(each.evaluated), "the sum of the lines", False, each.evaluated) for each in offers
    )
    return [*lines, MoneyLine("As read", as_read), MoneyLine("Evaluated", whole)]


def _supply(parts: list[SupplyParts | None]) -> list[MoneyLine]:
    """Return what the supply is made of; there are no corrections, for totals are worked out on reading."""
    if all(each is None for each in parts):
        return []
    named = (
        ("– supply", "supply", "unit prices times quantities"),
        ("– spares asked for", "spares", "unit prices times quantities"),
        ("– discount", "discount", ""),
    )
    lines = [
        MoneyLine(
            title,
            tuple(
                Money("–", "", False)
                if each is None
                else Money(amount_text(getattr(each, name)), how, False, getattr(each, name))
                for each in parts
            ),
        )
        for title, name, how in named
    ]
    corrections = Money("0", "totals are worked out here and not the bidder's", False, 0.0)
    return [*lines[:2], MoneyLine("– corrections", tuple(corrections for _ in parts)), lines[2]]


def _money(
    name: str,
    values: Mapping[str, float | None],
    reasons: Mapping[str, Reason],
    address: str = "",
) -> Money:
    if name not in values:
        return Money("–", "", False)
    reason = reasons.get(name)
    if reason is None:
        return Money(amount_text(values[name]), "", False, values[name])
    by_rule = reason.by_rule
    return Money(
        amount_text(values[name]),
        reason.how,
        reason.basis in FILLED_IN,
        values[name],
        "" if by_rule is None else f"{amount_text(by_rule.amount)} ({by_rule.how})",
        address,
    )


def nobody_quoted(bids: Bids) -> list[str]:
    """Return the items that no priced offer names a price or a state for."""
    priced = [each for each in bids.bidders if each.fob is not None]
    return [item for item in bids.items if all(each.items.get(item) is None for each in priced)]


def summary(evaluation: Evaluation) -> str:
    """Return the ranking in one sentence."""
    first = leader(evaluation)
    if not first:
        return "No offer is ranked yet."
    ahead = margin(evaluation)
    by = "" if ahead is None else f", {amount_text(ahead)} {evaluation.currency} below the next"
    read = {each.name: each.as_read for each in evaluation.bidders if each.as_read is not None}
    lowest = min(read, key=lambda name: (read[name], name)) if read else ""
    turned = "" if lowest in first else f" As read {lowest} was lowest: normalisation turns the ranking."
    return f"{first} leads{by}.{turned}"


def open_lines(evaluation: Evaluation) -> Iterator[str]:
    for each in evaluation.open_points:
        yield f"{each.text} (ask the {each.ask})"
