"""What a channel's setting sheet says, step by step along the signal's path."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from specapp.documents.marks import BAR, HALF
from specapp.documents.options import DisplayUnits
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
from specapp.domain.proposal import CauseAndEffect, Check, Point, Proposal, RackChannel, Setpoint

# Label, value, whether a technician writes in what was left.
Fact = tuple[str, str, bool]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a channel stands."""

    rack: str
    slot: int
    kind: str
    channel: RackChannel


@dataclass(frozen=True, slots=True)
class Known:
    """What the proposal says elsewhere of a point, by its key or voting group; `failures` of setpoints."""

    places: Mapping[str, Place]
    pinions: Mapping[str, Mapping[str, Any]]
    effects: Mapping[str, tuple[CauseAndEffect, ...]]
    failures: Mapping[str, tuple[Check, ...]]


def known_of(proposal: Proposal) -> Known:
    """Gather what the sheets need from elsewhere in the proposal, once for all of them."""
    effects: dict[str, tuple[CauseAndEffect, ...]] = {}
    for row in proposal.cause_and_effect:
        for key in row.points:
            effects[key] = (*effects.get(key, ()), row)
    failures: dict[str, tuple[Check, ...]] = {}
    for check in proposal.checks:
        if check.result == "fail" and check.check.startswith("setpoint."):
            failures[check.subject] = (*failures.get(check.subject, ()), check)
    return Known(
        {
            channel.point: Place(rack.key, module.slot, module.kind, channel)
            for rack in proposal.architecture.racks
            for module in rack.modules
            for channel in module.channels
            if channel.point is not None
        },
        {str(pinion.get("name")): pinion for pinion in proposal.machine.get("pinions") or ()},
        effects,
        failures,
    )


def place_text(place: Place | None) -> str:
    """Return a channel's place for a schedule, empty where the point has none."""
    return "" if place is None else f"{place.rack}, place {place.slot}, channel {place.channel.channel}"


def steps(point: Point, known: Known, display: DisplayUnits | None) -> list[tuple[str, list[Fact]]]:
    """Return the steps of the signal's path with their facts; a held setpoint gives no figure."""
    return [
        ("Target", _target(point, known.pinions.get(point.shaft, {}))),
        ("Transducer", _transducer(point)),
        ("Scale", [("Scale factor", prose(point.transducer.scale or NONE), True)]),
        ("Measured quantity", _measured(point, display)),
        ("Band", [("Frequency band", point.transducer.band or NONE, True)]),
        ("Level", _levels(point, known, display)),
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


def _measured(point: Point, display: DisplayUnits | None) -> list[Fact]:
    axial = point.quantity == "axial_position"
    facts: list[Fact] = [
        (words(point.quantity).capitalize(), range_text(point.range, display, axial=axial), True)
    ]
    facts += [
        (words(reading.quantity).capitalize(), range_text(reading.range, display), True)
        for reading in point.further_readings
    ]
    return facts


def _levels(point: Point, known: Known, display: DisplayUnits | None) -> list[Fact]:
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


def _why_held(point: Point, known: Known) -> str:
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


def _actions(point: Point, known: Known) -> list[Fact]:
    facts: list[Fact] = []
    trip = point.setpoints.trip
    if trip is not None:
        facts += [
            ("Voting", f"{words(trip.voting)} in {trip.voting_group or point.voting_group}", True),
            ("Latching", "latched until reset" if trip.latched else "not latched", True),
            ("A faulted leg", words(trip.on_circuit_fault) if trip.on_circuit_fault else NONE, True),
        ]
    for row in known.effects.get(point.key, ()):
        facts.append((f"On {words(row.level)}", ", ".join(words(effect) for effect in row.effects), False))
    return facts


def _outputs(point: Point, known: Known) -> list[Fact]:
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
