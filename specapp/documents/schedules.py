"""The schedules as typed rows, one source for workbook and comma-separated files.

Numbers stay numbers in the unit their heading names; settings are in the machine's setting units,
with their unit in a column of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from specapp.documents.cells import Cell
from specapp.documents.wording import plain, words
from specapp.domain.proposal import Measure, Point, Proposal, Range, Setpoint, Setpoints


@dataclass(frozen=True, slots=True)
class Schedule:
    """Headings and rows; `fixed` is how many leading columns stay in view."""

    name: str
    headings: tuple[str, ...]
    rows: Sequence[tuple[Cell, ...]]
    fixed: int = 1


def _value(measured: Measure | None) -> float | None:
    return None if measured is None else measured.value


def _word(name: str | None) -> str | None:
    return None if name is None else words(name)


def _tagged(proposal: Proposal) -> Iterator[tuple[str, str | None, Point]]:
    """Yield (tag, train, point) for every train; without trains, train is None."""
    for point in proposal.points:
        trains = proposal.machine.get("trains") or ()
        if not trains:
            yield point.tag, None, point
        else:
            for train in trains:
                yield point.tags.get(str(train), point.tag), str(train), point


def bill(proposal: Proposal) -> Schedule:
    rows = [
        (
            number,
            line.item,
            line.description,
            line.quantity,
            line.spares,
            line.unit,
            words(line.supplied_by),
            ", ".join(line.points),
        )
        for number, line in enumerate(proposal.bill_of_materials, 1)
    ]
    headings = ("No.", "Item", "Description", "Quantity", "Spares", "Unit", "Supplied by", "Points")
    return Schedule("Bill", headings, rows, fixed=2)


_INDEX = (
    "Tag",
    "Train",
    "Point",
    "Title",
    "Quantity",
    "Shaft",
    "Bearing",
    "Stage",
    "Direction",
    "Angle, deg",
    "Transducer",
    "Tip, mm",
    "System length, m",
    "Chain",
    "Range low",
    "Range high",
    "Range unit",
    "Detection",
    "Alarm",
    "Alarm low",
    "Trip",
    "Trip low",
    "Setting unit",
    "Voting group",
    "Trip voting",
    "Location",
    "Junction box",
    "Rack",
    "Module place",
    "Channel",
    "Zone",
    "Division",
    "Equipment protection level",
    "Protection",
    "Required marking",
    "Notes",
)


def instrument_index(proposal: Proposal) -> Schedule:
    """Return one row a tag: points times trains."""
    channels = {
        channel.point: (rack.key, module.slot, channel.channel)
        for rack in proposal.architecture.racks
        for module in rack.modules
        for channel in module.channels
        if channel.point is not None
    }
    rows: list[tuple[Cell, ...]] = []
    for tag, train, point in _tagged(proposal):
        place, transducer, span = point.installation, point.transducer, point.range
        alarm, trip = point.setpoints.alarm, point.setpoints.trip
        unit = alarm.unit if alarm else trip.unit if trip else None
        rows.append(
            (
                tag,
                train,
                point.key,
                point.title,
                words(point.quantity),
                point.shaft,
                point.bearing,
                point.stage,
                point.direction,
                _value(point.angle),
                words(transducer.type),
                _value(transducer.tip),
                _value(transducer.system_length),
                words(point.chain),
                *_range(span),
                alarm.value if alarm else None,
                alarm.low if alarm else None,
                trip.value if trip else None,
                trip.low if trip else None,
                unit,
                point.voting_group,
                trip.voting if trip else None,
                words(place.location),
                place.junction_box,
                *channels.get(point.key, (None, None, None)),
                place.zone,
                place.division,
                place.equipment_protection_level,
                _word(place.protection),
                place.required_marking,
                "; ".join(place.notes),
            )
        )
    return Schedule("Points", _INDEX, rows)


def _range(span: Range | None) -> tuple[float | None, float | None, str | None, str | None]:
    if span is None:
        return (None, None, None, None)
    return (span.low.value, span.high.value, span.high.unit, span.detection)


_SETPOINTS = (
    "Tag",
    "Train",
    "Point",
    "Reading",
    "Level",
    "Value",
    "Low side",
    "Unit",
    "Detection",
    "Unrounded",
    "State",
    "Governed by",
    "Status of that criterion",
    "Delay, s",
    "Voting",
    "Voting group",
    "Latched",
    "On circuit fault",
    "mA",
    "mA low side",
    "V",
    "V low side",
    "Multiplier",
)


def setpoints(proposal: Proposal) -> Schedule:
    """Return one row a tag, reading and level."""
    statuses = {str(c["key"]): str(c.get("status", "")) for c in proposal.criteria}
    rows: list[tuple[Cell, ...]] = []
    for tag, train, point in _tagged(proposal):
        factor = point.multiplier.factor if point.multiplier else None
        readings: list[tuple[str, Range | None, Setpoints, float | None]] = [
            (point.quantity, point.range, point.setpoints, factor)
        ]
        readings += [(r.quantity, r.range, r.setpoints, None) for r in point.further_readings]
        for quantity, span, levels, multiplier in readings:
            for level, setpoint in (("alarm", levels.alarm), ("trip", levels.trip)):
                if setpoint is not None:
                    head = (tag, train, point.key, words(quantity), level)
                    rows.append((*head, *_setpoint(setpoint, span, statuses), multiplier))
    return Schedule("Setpoints", _SETPOINTS, rows)


def _setpoint(setpoint: Setpoint, span: Range | None, statuses: Mapping[str, str]) -> tuple[Cell, ...]:
    return (
        setpoint.value,
        setpoint.low,
        setpoint.unit,
        span.detection if span else None,
        setpoint.unrounded,
        words(setpoint.status),
        setpoint.governed_by,
        statuses.get(setpoint.governed_by),
        _value(setpoint.delay),
        setpoint.voting,
        setpoint.voting_group,
        setpoint.latched,
        _word(setpoint.on_circuit_fault),
        setpoint.milliamps,
        setpoint.milliamps_low,
        setpoint.volts,
        setpoint.volts_low,
    )


def checks(proposal: Proposal) -> Schedule:
    rows = [
        (
            words(check.result),
            check.check,
            check.subject,
            _value(check.measured),
            _value(check.limit),
            check.limit.unit if check.limit else check.measured.unit if check.measured else None,
            check.text,
            "; ".join(check.remedies),
            check.needs,
        )
        for check in proposal.checks
    ]
    headings = ("Result", "Check", "Subject", "Found", "Limit", "Unit", "Finding", "Remedies", "Needs")
    return Schedule("Checks", headings, rows, fixed=3)


def cause_and_effect(proposal: Proposal) -> Schedule:
    """Return one row a cause and level, one column an effect, in which "X" acts."""
    effects = list(dict.fromkeys(effect for row in proposal.cause_and_effect for effect in row.effects))
    rows: list[tuple[Cell, ...]] = [
        (
            row.cause,
            row.level,
            row.setting,
            _value(row.delay),
            row.voting,
            *("X" if effect in row.effects else None for effect in effects),
            words(row.acts_in),
            row.relay,
            ", ".join(row.points),
            row.note,
        )
        for row in proposal.cause_and_effect
    ]
    headings = (
        "Cause",
        "Level",
        "Setting",
        "Delay, s",
        "Voting",
        *(words(effect).capitalize() for effect in effects),
        "Acts in",
        "Relay",
        "Points",
        "Note",
    )
    return Schedule("Cause and effect", headings, rows, fixed=2)


def responsibility(proposal: Proposal) -> Schedule:
    rows = [
        (words(line.link), words(line.owner), "assumed" if line.assumed else "told", line.text)
        for line in proposal.responsibility
    ]
    return Schedule("Responsibility", ("Link", "Owner", "Standing", "Note"), rows)


def cables(proposal: Proposal) -> Schedule:
    rows: list[tuple[Cell, ...]] = []
    for number, cable in enumerate(proposal.architecture.cables, 1):
        length = cable.get("length")
        run = length.get("value") if isinstance(length, Mapping) else _value(length)
        rows.append(
            (
                number,
                plain(cable.get("from")),
                plain(cable.get("to")),
                words(cable.get("kind")),
                run,
                ", ".join(map(str, cable.get("points") or ())),
            )
        )
    return Schedule("Cables", ("No.", "From", "To", "Kind", "Length, m", "Points"), rows, fixed=3)


def boxes(proposal: Proposal) -> Schedule:
    rows = [
        (
            box.key,
            words(box.purpose),
            words(box.casing),
            box.side,
            len(box.points),
            box.positions,
            box.terminals,
            box.spare_terminals,
            ", ".join(box.points),
        )
        for box in proposal.architecture.junction_boxes
    ]
    headings = (
        "Box",
        "Purpose",
        "Casing",
        "Side",
        "Positions used",
        "Positions",
        "Terminals",
        "Spare terminals",
        "Points",
    )
    return Schedule("Boxes", headings, rows)


def open_points(proposal: Proposal) -> Schedule:
    rows = [
        (number, words(point.ask), point.text, point.needs, point.key)
        for number, point in enumerate(proposal.open_points, 1)
    ]
    return Schedule("Open points", ("No.", "Ask", "Open point", "Needs", "Key"), rows, fixed=2)


def assumptions(proposal: Proposal) -> Schedule:
    rows = [
        (
            item.field,
            _simple(item.value),
            item.because,
            "; ".join(words(change) for change in item.changes),
            item.weight,
        )
        for item in proposal.assumptions
    ]
    headings = ("Field", "Taken as", "Because", "Another value may change", "Reasons resting on it")
    return Schedule("Assumptions", headings, rows)


def criteria(proposal: Proposal) -> Schedule:
    rows: list[tuple[Cell, ...]] = []
    for criterion in proposal.criteria:
        override = criterion.get("override")
        reason = override.get("reason") if isinstance(override, Mapping) else override
        rows.append(
            (
                str(criterion.get("key", "")),
                str(criterion.get("title") or ""),
                _simple(criterion.get("value")),
                str(criterion.get("unit") or ""),
                str(criterion.get("status") or ""),
                str(criterion.get("source") or ""),
                str(criterion.get("edition") or ""),
                None if reason is None else str(reason),
                str(criterion.get("note") or ""),
            )
        )
    headings = (
        "Criterion",
        "Meaning",
        "Value",
        "Unit",
        "Status",
        "Source",
        "Edition",
        "Overridden because",
        "Note",
    )
    return Schedule("Criteria", headings, rows)


def _simple(value: Any) -> Cell:
    """Return a plain value as it is, anything composed as text."""
    return value if isinstance(value, int | float) else plain(value)


WORKBOOK_SCHEDULES: tuple[Callable[[Proposal], Schedule], ...] = (
    bill,
    instrument_index,
    setpoints,
    checks,
    cause_and_effect,
    responsibility,
    cables,
    boxes,
    open_points,
    assumptions,
    criteria,
)
