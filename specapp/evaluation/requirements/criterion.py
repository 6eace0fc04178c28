"""What an answer is held against: a criterion of one kind, with its limits in one unit.

A criterion is data: it is stored as JSON, printed as words and checked by `specapp.evaluation.replies`.
"""

from __future__ import annotations

from typing import Final, Literal

import msgspec

from specapp.domain.display import number_text
from specapp.kernel.units import KINDS, UNITS

Kind = Literal[
    "count",
    "at_least",
    "at_most",
    "covers",
    "within",
    "one_of",
    "marking",
    "yes",
    "document",
    "stated",
    "trip_reliability",
]
PERCENT: Final = "percent"
NUMBER: Final = "number"
OWN_QUANTITIES: Final = (PERCENT, NUMBER)
NUMERIC: Final = ("count", "at_least", "at_most", "covers", "within")
_COUNTED: Final = ("day", "week", "month", "year")
KIND_WORDS: Final[dict[str, str]] = {
    "count": "this many, neither fewer nor more",
    "at_least": "at least",
    "at_most": "at most",
    "covers": "a range that covers",
    "within": "a value within",
    "one_of": "one of a list, or all of it",
    "marking": "a marking that suits the area",
    "yes": "yes",
    "document": "a document, by file and page",
    "stated": "a statement that a person judges",
    "trip_reliability": "failure data that reach the target of every trip",
}


class AreaNeed(msgspec.Struct, frozen=True):
    """What one area asks of equipment; level "Ga" to "Gc", "Division 1" or "Division 2"."""

    machine: str
    level: str
    gas_group: str
    temperature_class: str
    ambient_low_c: float | None = None
    ambient_high_c: float | None = None


class Criterion(msgspec.Struct, frozen=True):
    """What makes an answer good.

    `low` and `high` are in `unit`: a count and at_least use `low`, at_most uses `high`, covers and within
    both (one side of covers may be open); `trip` is the highest trip that lies in a range. `quantity` is a
    key of `kernel.units.KINDS`, "percent" or "number"; of a number `unit` is the word behind it.
    """

    kind: Kind
    quantity: str = ""
    unit: str = ""
    low: float | None = None
    high: float | None = None
    trip: float | None = None
    choices: tuple[str, ...] = ()
    needs_all: bool = False
    areas: tuple[AreaNeed, ...] = ()


def unit_text(criterion: Criterion) -> str:
    """Return the unit as it is printed beside an answer; empty where an answer has none."""
    if criterion.quantity == PERCENT:
        return "%"
    if criterion.quantity == NUMBER or criterion.kind == "count":
        return criterion.unit
    return UNITS[criterion.unit].symbol if criterion.unit in UNITS else criterion.unit


def with_unit(criterion: Criterion, value: float | None) -> str:
    """Return a value of the criterion with its unit."""
    if value is None:
        return "any"
    text = number_text(value).replace("-", "−")
    unit = unit_text(criterion)
    if criterion.quantity == "time" and criterion.unit in _COUNTED and value != 1:
        unit = f"{criterion.unit}s"
    return f"{text} {unit}" if unit else text


def criterion_text(criterion: Criterion) -> str:
    """Return in words what an answer must be."""
    low, high = criterion.low, criterion.high
    match criterion.kind:
        case "count":
            return f"exactly {with_unit(criterion, low)}"
        case "at_least":
            return f"at least {with_unit(criterion, low)}"
        case "at_most":
            return f"at most {with_unit(criterion, high)}"
        case "covers" if low is None:
            return f"covers up to {with_unit(criterion, high)}"
        case "covers" if high is None:
            return f"covers from {with_unit(criterion, low)}"
        case "covers" | "within":
            assert low is not None
            first = number_text(low).replace("-", "−")
            return f"{criterion.kind} {first} to {with_unit(criterion, high)}"
        case "one_of":
            listed = ", ".join(criterion.choices)
            return f"all of: {listed}" if criterion.needs_all else f"one of: {listed}"
        case "marking":
            return "; ".join(area_text(area) for area in criterion.areas)
        case "document":
            return "document named by file and page"
        case "stated":
            return "stated in full"
        case "trip_reliability":
            return "failure data with source; every trip reaches its target"
    return "yes"


def area_text(area: AreaNeed) -> str:
    """Return what an area asks, in one line."""
    parts = [f"level {area.level}" if area.level.startswith("G") else area.level]
    parts.append(f"group {area.gas_group}")
    parts.append(area.temperature_class)
    if area.ambient_low_c is not None and area.ambient_high_c is not None:
        parts.append(f"{area.ambient_low_c:g} to {area.ambient_high_c:g} °C".replace("-", "−"))
    return ", ".join(parts)


def criterion_problems(criterion: Criterion) -> list[str]:
    """Return what keeps a criterion from being checked; empty where nothing does."""
    problems = []
    low, high = criterion.low, criterion.high
    if criterion.kind in NUMERIC and criterion.kind != "count":
        if criterion.quantity not in (*KINDS, *OWN_QUANTITIES):
            problems.append(f"no such quantity: {criterion.quantity or 'nothing'}")
        elif criterion.quantity in KINDS and criterion.unit not in KINDS[criterion.quantity].units:
            problems.append(f"{criterion.unit or 'no unit'} is no unit of {KINDS[criterion.quantity].label}")
    needed = {
        "count": (low,),
        "at_least": (low,),
        "at_most": (high,),
        "within": (low, high),
    }.get(criterion.kind, ())
    if any(value is None for value in needed):
        problems.append("a limit is missing")
    if criterion.kind == "covers" and low is None and high is None:
        problems.append("a limit is missing")
    if low is not None and high is not None and low > high:
        problems.append(f"the lower limit {low:g} is above the upper {high:g}")
    if criterion.kind == "count" and low is not None and (low < 0 or low != int(low)):
        problems.append("a count is a whole number, 0 or more")
    if criterion.kind == "one_of" and not criterion.choices:
        problems.append("a list without entries")
    if criterion.kind == "marking" and not criterion.areas:
        problems.append("no area is named")
    return problems
