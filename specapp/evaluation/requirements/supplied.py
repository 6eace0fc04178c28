"""What the machines have that bidders are asked about: the bill, the trips with their devices, the ranges."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from specapp.domain.display import format_quantity, number_text
from specapp.domain.proposal import Measure, Point
from specapp.evaluation.requirements.facts import Asked, Fact
from specapp.evaluation.requirements.requirement import BillItem, TripTarget

# What stops the machine, and the logic of the plant: a bidder supplies neither.
DEVICES_OF_OTHERS: Final = frozenset(
    {"shutdown_logic", "control_system", "driver_breaker", "trip_valve", "motor_relay"}
)
_KIND_OF_UNIT: Final = {
    "um": "vibration",
    "mil": "vibration",
    "mm/s": "velocity",
    "in/s": "velocity",
    "g": "acceleration",
    "degC": "temperature",
    "degF": "temperature",
    "mm": "length",
}
_QUANTITY_WORDS: Final = {
    "radial_vibration": "Radial vibration",
    "axial_position": "Axial position",
    "casing_vibration": "Casing vibration",
    "bearing_temperature": "Bearing temperature",
    "axial_vibration": "Axial vibration",
}


def bill_of(asked: Asked) -> tuple[BillItem, ...]:
    """Return the bill asked of the bidder, machines added together, in the order of the first."""
    items: dict[str, BillItem] = {}
    for proposal in asked.proposals:
        for line in proposal.bill_of_materials:
            if line.supplied_by not in asked.owners:
                continue
            had = items.get(line.item)
            # The marking differs from machine to machine and is asked for on its own.
            text = line.description.partition(";")[0].partition(", [")[0]
            quantity, spares = (had.quantity, had.spares) if had else (0, 0)
            items[line.item] = BillItem(
                line.item,
                had.description if had else text,
                quantity + line.quantity,
                max(spares, 0) + line.spares,
                line.unit,
            )
    return tuple(items.values())


def trips_of(asked: Asked) -> tuple[TripTarget, ...]:
    """Return the trips with a target of all machines."""
    return tuple(
        TripTarget(
            str(proposal.machine["tag"]),
            function["key"],
            function["title"],
            function["target"],
            function["limit_pfd"],
        )
        for proposal in asked.proposals
        for function in proposal.safety_functions
        if function.get("target") and function.get("limit_pfd")
    )


def devices_of(asked: Asked, trip: TripTarget) -> Iterator[str]:
    """Return the devices of a trip that the bidder supplies; what stops the driver is not among them."""
    for proposal in asked.proposals:
        if proposal.machine["tag"] != trip.machine:
            continue
        for function in proposal.safety_functions:
            if function["key"] == trip.key:
                yield from (each for each in function["placeholders"] if each not in DEVICES_OF_OTHERS)


def ranges_of(asked: Asked) -> Iterator[dict[str, Fact]]:
    """Return each range of the machines once, with the points that have it and the highest trip in it."""
    spans: dict[tuple[str, float, float, str, str], list[Point]] = {}
    for point in asked.points():
        if point.range is not None and point.quantity in _QUANTITY_WORDS and point.chain != "direct":
            low, high = point.range.low, point.range.high
            key = (point.quantity, low.value, high.value, high.unit, point.range.detection)
            spans.setdefault(key, []).append(point)
    for (quantity, low_value, high_value, unit, detection), points in spans.items():
        trips = [
            abs(trip.value)
            for point in points
            if (trip := point.setpoints.trip) is not None and trip.value is not None
        ]
        suffix = {"pp": " p-p", "rms": " r.m.s."}.get(detection, "")
        lowest = number_text(low_value)
        if low_value < 0:
            lowest = lowest.replace("-", "−", 1)
        yield {
            "quantity": _QUANTITY_WORDS[quantity],
            "range": f"{lowest} to {_text(Measure(high_value, unit))}{suffix}",
            "points": f"{len(points)} {'point' if len(points) == 1 else 'points'}",
            "trip": f"{_text(Measure(max(trips), unit))}{suffix}" if trips else "none",
            "item.kind": _KIND_OF_UNIT[unit],
            "item.unit": unit,
            "item.low": low_value,
            "item.high": high_value,
            "item.trip": max(trips, default=0.0),
        }


def _text(measure: Measure) -> str:
    return format_quantity(measure.value, measure.unit)
