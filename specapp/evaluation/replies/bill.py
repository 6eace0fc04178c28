"""The offered bill against the one asked: missing, fewer, more, spares short, and lines nobody asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import msgspec

from specapp.evaluation.replies.offer import OfferedItem
from specapp.evaluation.requirements.requirement import BillItem

Difference = Literal["as asked", "missing", "fewer", "more", "spares fewer", "extra", "not stated"]


class BillLineCheck(msgspec.Struct, frozen=True):
    """One line of the bill compared; `asked` is None for a line that was not asked for."""

    key: str
    description: str
    asked: int | None
    offered: float | None
    spares_asked: int
    spares_offered: float | None
    difference: Difference
    text: str


def bill_checks(asked: Sequence[BillItem], offered: Sequence[OfferedItem]) -> tuple[BillLineCheck, ...]:
    """Return every line asked, in its order, then the lines that come on top; lines of one key add up."""
    by_key: dict[str, list[OfferedItem]] = {}
    for line in offered:
        by_key.setdefault(line.key, []).append(line)
    known = {item.key for item in asked}
    checks = [_check(item, by_key.get(item.key, [])) for item in asked]
    for line in offered:
        if line.key not in known:
            checks.append(
                BillLineCheck(
                    line.key,
                    line.description,
                    None,
                    line.quantity,
                    0,
                    line.spares,
                    "extra",
                    "Offered on top of what was asked; it is to be said whether it is in the price.",
                )
            )
    return tuple(checks)


def _check(item: BillItem, lines: Sequence[OfferedItem]) -> BillLineCheck:
    told = [line.quantity for line in lines if line.quantity is not None]
    spares = [line.spares for line in lines if line.spares is not None]
    offered = sum(told) if told else None
    spares_offered = sum(spares) if spares else None
    difference, text = _difference(item, lines, offered, spares_offered)
    return BillLineCheck(
        item.key, item.description, item.quantity, offered, item.spares, spares_offered, difference, text
    )


def _difference(
    item: BillItem, lines: Sequence[OfferedItem], offered: float | None, spares: float | None
) -> tuple[Difference, str]:
    unit = item.unit
    if not lines:
        return "missing", f"Asked {item.quantity} {unit}; no line offers it."
    if offered is None:
        return "not stated", f"Asked {item.quantity} {unit}; the line has no quantity."
    if offered == 0 and item.quantity:
        return "missing", f"Asked {item.quantity} {unit}; none offered."
    if offered < item.quantity:
        return (
            "fewer",
            f"Asked {item.quantity} {unit}, offered {offered:g}: {item.quantity - offered:g} fewer.",
        )
    if offered > item.quantity:
        return "more", f"Asked {item.quantity} {unit}, offered {offered:g}: {offered - item.quantity:g} more."
    if item.spares and (spares or 0) < item.spares:
        return "spares fewer", f"Asked {item.spares} spares, offered {spares or 0:g}."
    return "as asked", f"{offered:g} {unit} as asked."
