"""What can be set on a proposal: each field of each point or voting group, with its unit and its value."""

from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from specapp.domain.overrides import ALLOWED, CHAINS, GROUP_FIELDS, VOTES
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.domain.proposal import Point, Proposal
from specapp.domain.quantities import QuantityError, parse_quantity
from specapp.kernel.units import UNITS

LEVELS = ("alarm", "trip")
SWITCHES = ("struck", "added")
TIPS = ("8", "5")
_MOST_ALIKE = 4
_LONGEST_COMPARED = 60
# What is measured, as a kind of quantity in which a setpoint may be typed.
_KIND_OF_QUANTITY = {
    "radial_vibration": ("vibration", {"si": "um", "us": "mil"}),
    "axial_position": ("length", {"si": "mm", "us": "mil"}),
    "casing_vibration": ("velocity", {"si": "mm/s", "us": "in/s"}),
    "bearing_temperature": ("temperature", {"si": "degC", "us": "degF"}),
    "winding_temperature": ("temperature", {"si": "degC", "us": "degF"}),
    "overspeed": ("speed", {"si": "rpm", "us": "rpm"}),
}
_KIND_OF_FIELD = {"delay": ("time", "s"), "angle": ("angle", "deg"), "tip": ("length", "mm")}
_CHOICES = {"voting": VOTES, "chain": CHAINS, "tip": TIPS}


@dataclass(frozen=True, slots=True)
class Item:
    """One value of a proposal that may be overridden.

    `points` are those it belongs to, none where the item is not in the proposal (a point to be added);
    `value` is what stands there now, in `unit`.
    """

    key: str
    field: str
    points: tuple[Point, ...]
    value: Any
    unit: str
    kind: str

    @property
    def choices(self) -> tuple[str, ...]:
        return _CHOICES.get(self.field, ())

    @property
    def symbol(self) -> str:
        return UNITS[self.unit].symbol if self.unit in UNITS else self.unit

    @property
    def is_axial(self) -> bool:
        return bool(self.points) and self.points[0].quantity == "axial_position"

    @property
    def detection(self) -> str:
        span = self.points[0].range if self.points else None
        return span.detection if span and self.field in LEVELS else ""

    @property
    def tags(self) -> str:
        return ", ".join(point.tag for point in self.points)

    @property
    def allowed(self) -> str:
        if self.field in LEVELS and self.unit:
            return f"a number above 0, in {self.symbol} unless another unit is named"
        return ALLOWED[self.field]


def points_of(proposal: Proposal, key: str) -> tuple[Point, ...]:
    """Return the point of a key, or the points of a voting group."""
    found = tuple(point for point in proposal.points if point.key == key)
    return found or tuple(point for point in proposal.points if point.voting_group == key)


def item_of(proposal: Proposal, key: str, field: str) -> Item:
    """Return what may be set under a key and field; `field` is one of `ALLOWED`."""
    points = points_of(proposal, key)
    unit, kind = "", ""
    if field in _KIND_OF_FIELD:
        kind, unit = _KIND_OF_FIELD[field]
    elif field in LEVELS and points and points[0].quantity in _KIND_OF_QUANTITY:
        kind, units = _KIND_OF_QUANTITY[points[0].quantity]
        unit = units[proposal.machine["setting_units"] or "si"]
    return Item(key, field, points, _value(points[0], field) if points else None, unit, kind)


def _value(point: Point, field: str) -> Any:
    alarm, trip = point.setpoints.alarm, point.setpoints.trip
    if field in LEVELS:
        level = alarm if field == "alarm" else trip
        return level.value if level else None
    if field == "voting":
        return trip.voting if trip else None
    if field == "delay":
        first = trip or alarm
        return first.delay.value if first and first.delay else None
    if field == "angle":
        return point.angle.value if point.angle else None
    if field == "tip":
        return point.transducer.tip.value if point.transducer.tip else None
    return {"chain": point.chain, "tag": point.tag}.get(field)


def settable(point: Point) -> tuple[tuple[str, str], ...]:
    """Return key and field of everything that may be set on a point, its group's first."""
    group = tuple((point.voting_group, field) for field in GROUP_FIELDS if _settable_in_group(point, field))
    own = (
        *(["angle"] if point.angle else []),
        *(["tip"] if point.transducer.tip else []),
        *("chain", "tag", "struck"),
    )
    return (*group, *((point.key, field) for field in own))


def can_be_set(item: Item) -> bool:
    """Tell whether the proposal has what an item names; one to be added is looked for when it is set."""
    return item.field == "added" or any((item.key, item.field) in settable(point) for point in item.points)


def alike(proposal: Proposal, key: str, field: str) -> list[str]:
    """Return the keys most like one that a field cannot be set on, those that it can be set on only."""
    keys = dict.fromkeys(own for point in proposal.points for own, name in settable(point) if name == field)
    return get_close_matches(key[:_LONGEST_COMPARED], keys, n=_MOST_ALIKE, cutoff=0.5)


def _settable_in_group(point: Point, field: str) -> bool:
    if field in LEVELS:
        return point.quantity in _KIND_OF_QUANTITY
    return _value(point, field) is not None


def typed_value(item: Item, text: str) -> Any:
    """Return what was typed as a value in the item's unit; raises `InputErrors` naming what is allowed."""
    if not item.kind:
        return text.strip()
    try:
        return parse_quantity(text, item.kind, item.unit)
    except QuantityError as error:
        problem = Problem("value", shown(text), item.allowed, message=error.message)
        raise InputErrors([problem]) from None
