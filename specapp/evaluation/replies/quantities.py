"""Quantities as bidders write them: comparators, ranges, tolerances; units are read by the kernel."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from specapp.domain.quantities import QuantityError, parse_quantity
from specapp.evaluation.requirements.criterion import NUMBER, PERCENT, Criterion

Bound = Literal["", "at least", "at most", "either way"]

_AT_MOST: Final = r"≤|<=|=<|<|up to|max(?:imum)?\.?|not more than|no more than|at most|less than|below|within"
_AT_LEAST: Final = r"≥|>=|=>|>|min(?:imum)?\.?|not less than|no less than|at least|more than|above"
_EITHER_WAY: Final = r"±|\+/-|\+-|plus or minus"
_COMPARATORS: Final[tuple[tuple[re.Pattern[str], Bound], ...]] = (
    (re.compile(rf"\s*(?:{_AT_MOST})\s*(?=[\d.+\-±])", re.IGNORECASE), "at most"),
    (re.compile(rf"\s*(?:{_AT_LEAST})\s*(?=[\d.+\-±])", re.IGNORECASE), "at least"),
    (re.compile(r"\s*better than\s*(?=[\d.+\-±])", re.IGNORECASE), ""),
)
# Words that give a figure without promising it; `vague.narrowing_words` holds them against the reply.
_HEDGE: Final = re.compile(
    r"\s*(?:typ(?:ical(?:ly)?)?|approx(?:imately)?|about|nominal(?:ly)?)\b\.?\s*", re.IGNORECASE
)
_CURRENT_KIND: Final = re.compile(r"(?<=V)\s?(?:AC|DC)$", re.IGNORECASE)
_SYMMETRIC: Final = re.compile(rf"\s*(?:{_EITHER_WAY})\s*(?=[\d.])", re.IGNORECASE)
_NUMBER: Final = r"[+\-]?(?:\d+(?:[.,\u00a0\u2009\u202f ]\d+)*|\.\d+)(?:[eE][+\-]?\d+)?"
_TAIL = re.compile(
    r"\s*(?:of (?:the )?(?:full scale|span|range)|full scale|f\.?\s?s\.?(?:d\.?)?|of reading"
    r"|\(?max(?:imum)?\.?\)?|\(?min(?:imum)?\.?\)?|guaranteed|each|in total|total|nos?\.?|off"
    r"|or (?:more|better|less|higher|lower|faster))\s*$",
    re.IGNORECASE,
)
_RANGE = re.compile(
    rf"(?P<low>{_NUMBER})\s*(?P<first>[^\d+\-.,]*?)\s*"
    rf"(?:\bto\b|\.\.\.?|…|–|—|/|\band\b|\bthrough\b|-(?=\s*[+\-]?\d))\s*(?P<high>{_NUMBER})\s*(?P<unit>.*)",
    re.IGNORECASE | re.DOTALL,
)
_SINGLE = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>.*)", re.DOTALL)
_PERCENT = re.compile(r"(?:%|percent|per cent|pct)\s*", re.IGNORECASE)
_MOST = 200


@dataclass(frozen=True, slots=True)
class Offered:
    """A quantity read from a reply, in the criterion's unit; `low` equals `high` for a single value."""

    low: float
    high: float
    bound: Bound
    is_range: bool


class Unreadable(ValueError):
    """A reply in which no quantity of the kind asked for can be read; the message says why."""


def read_offered(text: str, criterion: Criterion) -> Offered:
    """Return the quantity of a reply. A bare number is in the criterion's unit.

    Raises `Unreadable`: no number, two readings of a comma, another kind of quantity, several numbers.
    """
    plain = _normalised(text)
    if len(plain) > _MOST:
        raise Unreadable("the reply is a text, not one quantity")
    bound, plain = _bound(_HEDGE.sub("", plain))
    symmetric = _SYMMETRIC.match(plain)
    if symmetric:
        bound, plain = "either way", plain[symmetric.end() :]
    while (shorter := _TAIL.sub("", plain)) != plain:
        plain = shorter
    ranged = _RANGE.fullmatch(plain)
    if ranged is not None and (not ranged["first"].strip() or _is_unit(ranged["first"], criterion)):
        first, last = ranged["first"].strip(), ranged["unit"].strip()
        low = _value(ranged["low"], first or last, criterion)
        high = _value(ranged["high"], last or first, criterion)
        if low > high:
            raise Unreadable(f"the range runs from {ranged['low']} down to {ranged['high']}")
        return Offered(low, high, bound, True)
    single = _SINGLE.fullmatch(plain)
    if single is None:
        raise Unreadable("no number was found")
    value = _value(single["number"], single["unit"].strip(), criterion)
    if bound == "either way":
        return Offered(-abs(value), abs(value), bound, True)
    return Offered(value, value, bound, False)


def _bound(plain: str) -> tuple[Bound, str]:
    for pattern, meaning in _COMPARATORS:
        found = pattern.match(plain)
        if found:
            return meaning, plain[found.end() :]
    return "", plain


def _normalised(text: str) -> str:
    return " ".join(text.replace("\u2212", "-").replace("−", "-").replace("+/−", "+/-").split())


def _is_unit(text: str, criterion: Criterion) -> bool:
    try:
        _value("1", text.strip(), criterion)
    except Unreadable:
        return False
    return True


def _value(number: str, unit: str, criterion: Criterion) -> float:
    quantity = criterion.quantity or NUMBER
    try:
        if quantity == PERCENT:
            rest = _PERCENT.sub("", unit, count=1).strip(" .()")
            if rest and not re.fullmatch(r"(?:of .{1,40}|fs|fso|fsd|full scale|error)", rest, re.IGNORECASE):
                raise Unreadable(f"“{unit}” is not percent")
            return parse_quantity(number.strip(), "ratio", "1")
        if quantity == NUMBER:
            if unit and not re.fullmatch(r"[A-Za-z][A-Za-z .()/-]{0,40}", unit):
                raise Unreadable(f"“{unit}” follows the number")
            return parse_quantity(number.strip(), "ratio", "1")
        if quantity == "voltage":
            unit = _CURRENT_KIND.sub("", unit)
        return parse_quantity(f"{number.strip()} {unit}".strip(), quantity, criterion.unit)
    except QuantityError as error:
        raise Unreadable(error.message) from None
