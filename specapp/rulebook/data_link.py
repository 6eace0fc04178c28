"""The register list of the read-only data link of each rack: what stands at which address.

Registers hold 16 bits. Readings are floating point numbers of 32 bits in two registers, high half first.
Addresses count from 0 within a rack; they are a proposal that the supplier's own map replaces.
"""

from __future__ import annotations

from dataclasses import dataclass

from specapp.domain.proposal import Point, Proposal, Rack, Range

READING = "float 32 bit"
STATES = "16 bits"
_POINT_BITS = "bit 0 alarm, 1 trip, 2 circuit fault, 3 bypassed, 4 setpoints multiplied"
_RACK_BITS = "bit 0 alarm, 1 trip, 2 circuit fault, 3 supply 1 lost, 4 supply 2 lost, 5 clock not set"
_UNIT_OF_GAP = "V"


@dataclass(frozen=True, slots=True)
class Register:
    """One entry: ``size`` registers from ``address``; ``point`` is None for what concerns the whole rack."""

    rack: str
    address: int
    size: int
    point: Point | None
    content: str
    data_type: str
    unit: str
    low: float | None
    high: float | None
    meaning: str


def register_list(proposal: Proposal) -> tuple[Register, ...]:
    """Return the registers of every rack, in the order of its modules and channels."""
    points = {point.key: point for point in proposal.points}
    found: list[Register] = []
    for rack in proposal.architecture.racks:
        found.append(Register(rack.key, 0, 1, None, "rack state", STATES, "", None, None, _RACK_BITS))
        address = 1
        for point in _in_order(rack, points):
            for content, data_type, unit, span, meaning in _contents(point):
                size = 1 if data_type == STATES else 2
                low = None if span is None else span.low.value
                high = None if span is None else span.high.value
                found.append(
                    Register(rack.key, address, size, point, content, data_type, unit, low, high, meaning)
                )
                address += size
    return tuple(found)


def _in_order(rack: Rack, points: dict[str, Point]) -> list[Point]:
    return [
        points[channel.point]
        for module in rack.modules
        for channel in module.channels
        if channel.point is not None
    ]


def _contents(point: Point) -> list[tuple[str, str, str, Range | None, str]]:
    """Return content, type, unit, range and meaning of each register of a point."""
    found: list[tuple[str, str, str, Range | None, str]] = []
    unit = _unit(point)
    span = point.range
    detection = "" if span is None else span.detection
    found.append((point.quantity, READING, unit, span, detection))
    if point.transducer.type == "proximity_probe":
        found.append(("gap_voltage", READING, _UNIT_OF_GAP, None, "mean"))
    for reading in point.further_readings:
        limits = reading.range
        of_reading = "" if limits is None else limits.high.unit
        found.append(
            (reading.quantity, READING, of_reading, limits, "" if limits is None else limits.detection)
        )
    found.append(("state", STATES, "", None, _POINT_BITS))
    return found


def _unit(point: Point) -> str:
    if point.range is not None:
        return point.range.high.unit
    return "rpm" if point.quantity in ("phase_reference", "speed", "overspeed") else ""
