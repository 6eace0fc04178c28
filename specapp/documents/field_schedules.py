"""Schedules for those who wire and those who program: terminals, cables, relays, alarms, registers.

Everything is taken from the architecture and the cause-and-effect rows, so that the counts agree.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from specapp.documents.cells import Cell
from specapp.documents.schedules import Schedule
from specapp.documents.wording import plain, prose, words
from specapp.domain.proposal import CauseAndEffect, JunctionBox, Point, Proposal
from specapp.rulebook.data_link import register_list

_TRIAD = ("1", "2", "3", "shield")
_WIRES: Mapping[str, tuple[str, ...]] = {
    "proximity_probe": ("−24 V supply", "common", "signal", "shield"),
    "resistance_thermometer": ("element", "element, return", "compensation", "shield"),
    "accelerometer": ("signal and supply", "common", "case or spare", "shield"),
    "high_frequency_accelerometer": ("signal and supply", "common", "case or spare", "shield"),
    "velocity_sensor": ("signal and supply", "common", "case or spare", "shield"),
    "speed_sensor": ("supply", "common", "signal", "shield"),
}
_PAIR = ("loop +", "loop −", "shield")
_UNITS = {"um": "µm", "degC": "°C", "degF": "°F", "rpm": "r/min"}
_DETECTION = {"pp": "peak to peak", "rms": "r.m.s.", "peak": "peak", "mean": "mean value"}


def trains(proposal: Proposal) -> tuple[str | None, ...]:
    """Return the trains, or None alone for a machine without trains."""
    told = proposal.machine.get("trains") or ()
    return tuple(map(str, told)) or (None,)


def tag_of(point: Point, train: str | None) -> str:
    return point.tag if train is None else point.tags.get(train, point.tag)


def cable_number(index: int) -> str:
    """Return the number of a cable, counted from 0 in the order of the architecture."""
    return f"W-{index + 1:03d}"


def _cable_of_point(proposal: Proposal) -> dict[str, tuple[str, Mapping[str, Any]]]:
    return {
        str(key): (cable_number(index), cable)
        for index, cable in enumerate(proposal.architecture.cables)
        for key in cable.get("points") or ()
    }


def wires(point: Point, kind: str) -> tuple[str, ...]:
    """Return what each terminal of a point carries: three wires and a shield, or two and a shield."""
    return _PAIR if kind == "pair" else _WIRES.get(point.transducer.type, _TRIAD)


def box_terminals(proposal: Proposal) -> Schedule:
    """Return one row a terminal of every box and train, the spare ones of a box behind the others."""
    points = {point.key: point for point in proposal.points}
    of_point = _cable_of_point(proposal)
    rows: list[tuple[Cell, ...]] = []
    for train in trains(proposal):
        for box in proposal.architecture.junction_boxes:
            rows += _terminal_rows(box, train, points, of_point)
    headings = ("Box", "Train", "Position", "Terminal", "Wire", "Tag", "Point", "Cable", "To")
    return Schedule("Terminals", headings, rows, fixed=4)


def _terminal_rows(
    box: JunctionBox,
    train: str | None,
    points: Mapping[str, Point],
    of_point: Mapping[str, tuple[str, Mapping[str, Any]]],
) -> Iterator[tuple[Cell, ...]]:
    terminal = 0
    for position, key in enumerate(box.points, 1):
        number, cable = of_point[key]
        point = points[key]
        for wire in wires(point, str(cable.get("kind"))):
            terminal += 1
            place = (box.key, train, position, terminal)
            yield (*place, wire, tag_of(point, train), key, number, plain(cable.get("to")))
    for spare in range(terminal + 1, terminal + box.spare_terminals + 1):
        yield (box.key, train, None, spare, "spare", None, None, None, None)


def boxes(proposal: Proposal) -> Schedule:
    rows: list[tuple[Cell, ...]] = [
        (
            box.key,
            words(box.purpose),
            words(box.casing),
            box.side,
            len(box.points),
            box.positions,
            box.terminals,
            box.spare_terminals,
            _marking(proposal, box),
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
        "Terminals used",
        "Spare terminals",
        "Required marking",
    )
    return Schedule("Boxes", headings, rows)


def _marking(proposal: Proposal, box: JunctionBox) -> str | None:
    inside = set(box.points)
    markings = dict.fromkeys(
        point.installation.required_marking for point in proposal.points if point.key in inside
    )
    return ", ".join(marking for marking in markings if marking) or None


def cables(proposal: Proposal) -> Schedule:
    """Return one row a cable and train, each with its length where the run was told."""
    points = {point.key: point for point in proposal.points}
    conductor = (proposal.machine.get("installation") or {}).get("conductor")
    rows: list[tuple[Cell, ...]] = []
    for train in trains(proposal):
        for index, cable in enumerate(proposal.architecture.cables):
            length = cable.get("length")
            keys = [str(key) for key in cable.get("points") or ()]
            safe = any(points[key].installation.protection in ("ia", "ic") for key in keys)
            rows.append(
                (
                    cable_number(index),
                    train,
                    plain(cable.get("from")),
                    plain(cable.get("to")),
                    f"shielded {words(str(cable.get('kind')))}",
                    conductor,
                    length.get("value") if isinstance(length, Mapping) else None,
                    "intrinsically safe" if safe else None,
                    ", ".join(tag_of(points[key], train) for key in keys),
                    "; ".join(keys),
                )
            )
    headings = (
        "Cable",
        "Train",
        "From",
        "To",
        "Kind",
        "Conductor",
        "Length, m",
        "Circuit",
        "Tag",
        "Point",
    )
    return Schedule("Cables", headings, rows, fixed=2)


def relays(proposal: Proposal) -> Schedule:
    rows: list[tuple[Cell, ...]] = [
        (
            relay.key,
            words(relay.purpose),
            words(relay.normally),
            "latched" if relay.latched else "not latched",
            relay.rack,
            len(relay.causes),
            "; ".join(relay.causes),
            prose(relay.text),
        )
        for relay in proposal.architecture.relays
    ]
    headings = ("Relay", "Purpose", "Normally", "Latching", "Rack", "Causes", "Voting groups", "What it does")
    return Schedule("Relays", headings, rows)


def alarms(proposal: Proposal) -> Schedule:
    """Return one row a cause, level and train, then the process protection that the control system holds."""
    points = {point.key: point for point in proposal.points}
    rows: list[tuple[Cell, ...]] = []
    for train in trains(proposal):
        for row in proposal.cause_and_effect:
            rows.append(_alarm(row, train, points))
        for item in proposal.process_protection:
            for level, setting in (("alarm", item.alarm), ("trip", item.trip)):
                if setting:
                    rows.append(
                        (
                            None,
                            train,
                            item.text.rstrip("."),
                            level,
                            prose(setting),
                            None,
                            item.voting if level == "trip" else None,
                            words(item.acts_in),
                            None,
                            None,
                            item.key,
                        )
                    )
    headings = (
        "Tags",
        "Train",
        "Message",
        "Level",
        "Setting",
        "Delay, s",
        "Voting",
        "Formed in",
        "By relay",
        "Effects",
        "Cause",
    )
    return Schedule("Alarm list", headings, rows, fixed=3)


def _alarm(row: CauseAndEffect, train: str | None, points: Mapping[str, Point]) -> tuple[Cell, ...]:
    first = points[row.points[0]]
    place = first.bearing or first.shaft
    message = f"{place} {words(first.quantity)}, {words(row.level)}"
    return (
        "\n".join(tag_of(points[key], train) for key in row.points),
        train,
        message,
        words(row.level),
        prose(row.setting),
        None if row.delay is None else row.delay.value,
        row.voting,
        words(row.acts_in),
        row.relay,
        ", ".join(words(effect) for effect in row.effects),
        row.cause,
    )


def registers(proposal: Proposal) -> Schedule:
    """Return the registers of the data link, once: each train has racks of its own that read alike."""
    rows: list[tuple[Cell, ...]] = [
        (
            entry.rack,
            entry.address,
            entry.size,
            None if entry.point is None else entry.point.tag,
            words(entry.content),
            entry.data_type,
            _UNITS.get(entry.unit, entry.unit) or None,
            entry.low,
            entry.high,
            _DETECTION.get(entry.meaning, entry.meaning) or None,
            None if entry.point is None else entry.point.key,
        )
        for entry in register_list(proposal)
    ]
    headings = (
        "Rack",
        "Address",
        "Registers",
        "Tag",
        "Content",
        "Type",
        "Unit",
        "Range low",
        "Range high",
        "Meaning",
        "Point",
    )
    return Schedule("Data link", headings, rows, fixed=2)


FIELD_SCHEDULES: tuple[Callable[[Proposal], Schedule], ...] = (
    boxes,
    box_terminals,
    cables,
    relays,
    alarms,
    registers,
)
