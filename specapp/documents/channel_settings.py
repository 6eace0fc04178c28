"""Setting sheets: one sheet a channel, in the order the signal takes.

A held setpoint is not released: its sheet says so, says why, and gives no figure to set.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD, TEXT
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.ink import HAIRLINE, THIN
from specapp.documents.marks import BAR, HALF
from specapp.documents.options import Options
from specapp.documents.wording import (
    NONE,
    measure,
    number,
    pair,
    prose,
    range_text,
    reading_setting_text,
    setting_text,
    tags_text,
    words,
)
from specapp.documents.wrapping import wrapped
from specapp.domain.proposal import CauseAndEffect, Check, Point, Proposal, RackChannel, Setpoint

TITLE: Final = "Channel setting sheets"

_SIZE: Final = 8.0
_LEADING: Final = 12.0
_STATION: Final = 24.0
_LABEL: Final = 118.0
_AS_LEFT: Final = 96.0


@dataclass(frozen=True, slots=True)
class _Place:
    rack: str
    slot: int
    kind: str
    channel: RackChannel


@dataclass(frozen=True, slots=True)
class _Known:
    """What the proposal says elsewhere of a point, by its key or voting group; `failures` of setpoints."""

    places: Mapping[str, _Place]
    pinions: Mapping[str, Mapping[str, Any]]
    effects: Mapping[str, tuple[CauseAndEffect, ...]]
    failures: Mapping[str, tuple[Check, ...]]


def render(proposal: Proposal, options: Options) -> bytes:
    """Return one setting sheet a point as PDF, the same bytes for the same proposal and options."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal),
        subject="Settings of each measuring channel, in signal-path order",
        cover=False,
    )
    known = _known(proposal)
    for point in proposal.points:
        _sheet(book, point, known)
    return book.finish()


def _known(proposal: Proposal) -> _Known:
    effects: dict[str, tuple[CauseAndEffect, ...]] = {}
    for row in proposal.cause_and_effect:
        for key in row.points:
            effects[key] = (*effects.get(key, ()), row)
    failures: dict[str, tuple[Check, ...]] = {}
    for check in proposal.checks:
        if check.result == "fail" and check.check.startswith("setpoint."):
            failures[check.subject] = (*failures.get(check.subject, ()), check)
    return _Known(
        {
            channel.point: _Place(rack.key, module.slot, module.kind, channel)
            for rack in proposal.architecture.racks
            for module in rack.modules
            for channel in module.channels
            if channel.point is not None
        },
        {str(pinion.get("name")): pinion for pinion in proposal.machine.get("pinions") or ()},
        effects,
        failures,
    )


Fact = tuple[str, str, bool]  # label, value, whether a technician writes in what was left


def _sheet(book: Book, point: Point, known: _Known) -> None:
    book.section(f"{point.tag}   {point.key}", landscape=False, new_sheet=True, numbered=False)
    book.paragraph(point.title, after=6)
    ink, frame = book.ink, book.frame
    ink.text_right(min(frame.right, frame.left + 560), book.y, "As left", TEXT, 6.5)
    book.space(4)
    for index, (name, facts) in enumerate(_steps(book, point, known), 1):
        _step(book, index, name, facts)
    _signatures(book)


def _step(book: Book, index: int, name: str, facts: list[Fact]) -> None:
    """Set a station of the signal path: a numbered circle on the path, its facts beside it."""
    right = min(book.frame.right, book.frame.left + 560)
    x = book.frame.left + _STATION + _LABEL
    width = right - _AS_LEFT - 8 - x
    clean = book.lettering.clean
    facts = [fact for fact in facts if fact[1] not in ("", NONE)] or [("", "nothing told or proposed", False)]
    lines = [wrapped(book.lettering, clean(value), width, TEXT, _SIZE) for _, value, _ in facts]
    book.need(sum(map(len, lines)) * _LEADING + 24)
    ink = book.ink
    top = book.y
    ink.text(book.frame.left + _STATION, top - 9, name, BOLD, 8.4)
    book.space(13)
    for (label, value, write_in), cell in zip(facts, lines, strict=True):
        height = len(cell) * _LEADING
        y = book.y - 8
        ink.text(book.frame.left + _STATION, y, clean(label), TEXT, _SIZE)
        if value.startswith(BAR):
            ink.hatch(x - 3, book.y - height, width + 6, height)
        for line in cell:
            ink.text(x, y, line, BOLD if write_in else TEXT, _SIZE)
            y -= _LEADING
        if write_in:
            ink.line(right - _AS_LEFT, book.y - 9.2, right, book.y - 9.2, HAIRLINE)
        book.space(height + 0.6)
    book.space(6)
    centre = book.frame.left + 8
    ink.line(centre, top - 1, centre, book.y - 1, THIN)
    ink.circle(centre, top - 6.4, 6, THIN, blank=True)
    ink.text_centred(centre, top - 8.8, str(index), BOLD, 6.8)


def _signatures(book: Book) -> None:
    book.need(34)
    left = book.frame.left + _STATION
    right = min(book.frame.right, book.frame.left + 560)
    y = book.y - 22
    pitch = (right - left) / 4
    for i, label in enumerate(("Set by", "Date", "Checked by", "Date")):
        book.ink.line(left + i * pitch, y, left + (i + 1) * pitch - 10, y, HAIRLINE)
        book.ink.text(left + i * pitch, y - 7.5, label, TEXT, 6)
    book.space(34)


def _steps(book: Book, point: Point, known: _Known) -> list[tuple[str, list[Fact]]]:
    return [
        ("Target", _target(point, known.pinions.get(point.shaft, {}))),
        ("Transducer", _transducer(point)),
        ("Scale", [("Scale factor", prose(point.transducer.scale or NONE), True)]),
        ("Measured quantity", _measured(book, point)),
        ("Band", [("Frequency band", point.transducer.band or NONE, True)]),
        ("Level", _levels(book, point, known)),
        ("Time", _times(point)),
        ("Action", _actions(point, known)),
        ("Output", _outputs(point, known)),
    ]


def _target(point: Point, pinion: Mapping[str, Any]) -> list[Fact]:
    direction = point.direction or ""
    if point.angle is not None:
        direction = f"{direction} {measure(point.angle)} clockwise from the top".strip()
    facts: list[Fact] = [
        ("Shaft and bearing", ", ".join(part for part in (point.shaft, point.bearing) if part), False),
        ("Stage", number(point.stage), False),
        ("Direction", direction, False),
    ]
    if point.transducer.type == "proximity_probe" and pinion:
        for name, label in (("probe_target_diameter", "Target diameter"), ("track_width", "Track width")):
            value = pinion.get(name)
            facts.append((label, NONE if value is None else f"{number(value)} mm", False))
        facts.append(("Target material", str(pinion.get("shaft_material") or NONE), False))
    return facts


def _transducer(point: Point) -> list[Fact]:
    transducer, place = point.transducer, point.installation
    return [
        ("Tags", tags_text(point).replace("\n", ", "), False),
        ("Type", words(transducer.type), False),
        ("Tip", measure(transducer.tip), False),
        ("System length", measure(transducer.system_length), True),
        ("Oscillator frequency group", place.frequency_group or NONE, False),
        ("Place", words(place.location) if place.location else NONE, False),
        ("Junction box", place.junction_box or NONE, False),
        ("Required marking", place.required_marking or NONE, True),
        ("Gap voltage at rest", "to be measured" if transducer.type == "proximity_probe" else NONE, True),
    ]


def _measured(book: Book, point: Point) -> list[Fact]:
    display = book.options.display_units
    axial = point.quantity == "axial_position"
    facts: list[Fact] = [
        (words(point.quantity).capitalize(), range_text(point.range, display, axial=axial), True)
    ]
    facts += [
        (words(reading.quantity).capitalize(), range_text(reading.range, display), True)
        for reading in point.further_readings
    ]
    return facts


def _levels(book: Book, point: Point, known: _Known) -> list[Fact]:
    display = book.options.display_units
    facts: list[Fact] = []
    for level, setpoint in (("Alarm", point.setpoints.alarm), ("Trip", point.setpoints.trip)):
        if setpoint is not None:
            text = setting_text(setpoint, point, display)
            facts += _level(level, setpoint, text, _why_held(point, known))
    for reading in point.further_readings:
        for level, setpoint in (("alarm", reading.setpoints.alarm), ("trip", reading.setpoints.trip)):
            if setpoint is not None:
                label = f"{words(reading.quantity).capitalize()}, {level}"
                facts += _level(
                    label, setpoint, reading_setting_text(setpoint, reading, display), _why_held(point, known)
                )
    if not facts:
        facts.append(("Setpoints", "none proposed: reading only", False))
    return facts


def _level(label: str, setpoint: Setpoint, text: str, why_held: str) -> list[Fact]:
    if setpoint.status == "hold":
        return [(label, f"{BAR} held: not released. {why_held}", False)]
    if setpoint.value is None:
        return [(label, "no value proposed", False)]
    text = text.replace("\n", " and ")
    if setpoint.status == "placeholder":
        text += f"   {HALF} placeholder, to be replaced by the maker's value before use"
    facts: list[Fact] = [(label, text, True)]
    outputs = [
        f"{pair(high, low, 2)} {unit}"
        for high, low, unit in (
            (setpoint.milliamps, setpoint.milliamps_low, "mA"),
            (setpoint.volts, setpoint.volts_low, "V"),
        )
        if high is not None
    ]
    if outputs:
        facts.append((f"{label}, as a signal", ", ".join(outputs), False))
    return facts


def _why_held(point: Point, known: _Known) -> str:
    subjects = (point.key, point.voting_group, point.shaft, "machine")
    texts = [prose(check.text) for subject in subjects for check in known.failures.get(subject, ())]
    return " ".join(dict.fromkeys(texts)) or "The machine maker is to settle it."


def _times(point: Point) -> list[Fact]:
    facts: list[Fact] = []
    for level, setpoint in (("Alarm", point.setpoints.alarm), ("Trip", point.setpoints.trip)):
        if setpoint is not None:
            facts.append((f"{level} delay", measure(setpoint.delay), True))
    if point.multiplier is not None:
        multiplier = point.multiplier
        facts.append(
            ("Setpoint multiplier", f"× {number(multiplier.factor)}, armed by {multiplier.armed_by}", True)
        )
        facts.append(("Multiplier time-out", measure(multiplier.time_out), True))
    return facts


def _actions(point: Point, known: _Known) -> list[Fact]:
    facts: list[Fact] = []
    trip = point.setpoints.trip
    if trip is not None:
        facts += [
            ("Voting", f"{words(trip.voting)} in {trip.voting_group or point.voting_group}", True),
            ("Latching", "latched until reset" if trip.latched else "not latched", True),
            ("On circuit fault", words(trip.on_circuit_fault) if trip.on_circuit_fault else NONE, True),
        ]
    for row in known.effects.get(point.key, ()):
        facts.append((f"On {words(row.level)}", ", ".join(words(effect) for effect in row.effects), False))
    return facts


def _outputs(point: Point, known: _Known) -> list[Fact]:
    place = known.places.get(point.key)
    facts: list[Fact] = [("Chain", words(point.chain), False)]
    if place is not None:
        facts.append(
            (
                "Channel",
                (
                    f"rack {place.rack}, place {place.slot} ({words(place.kind)}),"
                    f" channel {place.channel.channel}, fault group {place.channel.fault_group}"
                ),
                True,
            )
        )
    relays = dict.fromkeys(row.relay for row in known.effects.get(point.key, ()) if row.relay)
    facts.append(("Relays", ", ".join(relays) or NONE, True))
    acts_in = dict.fromkeys(words(row.acts_in) for row in known.effects.get(point.key, ()))
    facts.append(("Acts in", ", ".join(acts_in) or NONE, False))
    return facts
