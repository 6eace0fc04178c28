"""Proposals built by hand, of any size, for the drawing tests (an invented machine).

Written against the proposal's types alone, so that the drawings are tested without the rules and
with more kinds of machine than the rules propose today.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, TypeVar, get_origin

from msgspec import Struct
from msgspec.structs import fields

from specapp.domain.proposal import (
    Architecture,
    BillLine,
    Candidate,
    CauseAndEffect,
    Check,
    FrequencyLine,
    Installation,
    Interface,
    JunctionBox,
    Measure,
    Point,
    Proposal,
    Rack,
    RackChannel,
    RackModule,
    Range,
    Relay,
    Setpoint,
    Setpoints,
    ShaftLine,
    Transducer,
)

S = TypeVar("S", bound=Struct)


def filled(record: type[S], /, **told: Any) -> S:
    """A record with what is told and nothing elsewhere: a new field breaks no drawing test."""
    return record(**{**_nothing(record), **told})


@cache
def _nothing(record: type[Struct]) -> dict[str, Any]:
    empty: dict[Any, Any] = {tuple: (), Mapping: {}, str: "", bool: False, int: 0}
    return {
        field.name: empty.get(get_origin(field.type) or field.type)
        for field in fields(record)
        if field.required
    }


EFFECTS = ("stop_driver", "open_blow_off", "close_inlet", "start_auxiliary_oil_pump", "block_restart")
_LETTERS = {
    "radial_vibration": "VE",
    "axial_position": "ZE",
    "phase_reference": "YE",
    "casing_vibration": "VE",
    "bearing_temperature": "TE",
    "winding_temperature": "TE",
    "overspeed": "SE",
    "speed": "SE",
}


def setpoint(
    value: float | None, unit: str, group: str, low: float | None = None, *, hold: bool = False
) -> Setpoint:
    candidates = (
        Candidate("radial.alarm_multiple", value and value + 1.4, unit, None),
        Candidate("radial.alarm_zone", value and value + 60.0, unit, None),
        Candidate("radial.alarm_clearance", None, unit, "pinions[0].journal_diameter"),
    )
    return filled(
        Setpoint,
        value=value,
        unit=unit,
        low=low,
        governed_by="radial.alarm_multiple",
        status="hold" if hold else "proposed",
        candidates=candidates,
    )


def point(
    key: str,
    quantity: str,
    *,
    tag: str = "4410",
    angle: float | None = None,
    stage: int | None = None,
    chain: str = "monitor",
    box: str | None = "JB-1",
) -> Point:
    parts = key.split("/")
    shaft = "M" if parts[0].startswith("M") else parts[0]
    bearing = next((part for part in parts[:2] if part[:1] in "MBP" and part not in (shaft, "BG")), None)
    paired = parts[-1] in ("X", "Y", "A", "B") or parts[-1].isdigit()
    group = "/".join(parts[:-1]) if paired else key
    direction = parts[-1] if parts[-1] in ("X", "Y") else None
    types = {"bearing_temperature": "resistance_thermometer", "winding_temperature": "resistance_thermometer"}
    types |= {"casing_vibration": "accelerometer", "speed": "speed_sensor", "overspeed": "speed_sensor"}
    kind = types.get(quantity, "proximity_probe")
    probe = kind == "proximity_probe"
    alarm: Setpoint | None = None
    trip: Setpoint | None = None
    span: Range | None = None
    if quantity == "radial_vibration":
        alarm, trip = setpoint(30.0, "um", group), setpoint(41.0, "um", group)
        span = Range(Measure(0.0, "um"), Measure(125.0, "um"), "pp")
    elif quantity == "axial_position":
        alarm, trip = setpoint(0.42, "mm", group, -0.42), setpoint(0.55, "mm", group, -0.55)
        span = Range(Measure(-1.0, "mm"), Measure(1.0, "mm"), "mean")
    elif quantity in ("bearing_temperature", "winding_temperature"):
        alarm, trip = setpoint(110.0, "degC", group), setpoint(120.0, "degC", group)
        span = Range(Measure(0.0, "degC"), Measure(150.0, "degC"), "mean")
    elif quantity == "casing_vibration":
        alarm = setpoint(4.5, "mm/s", group)
        span = Range(Measure(0.0, "mm/s"), Measure(25.0, "mm/s"), "rms")
    full_tag = f"{_LETTERS[quantity]}-{tag}-{'-'.join(parts)}"
    band = "4 Hz to 4 kHz" if probe else None
    system = Measure(5.0, "m") if probe else None
    return filled(
        Point,
        key=key,
        tag=full_tag,
        title=key,
        quantity=quantity,
        shaft=shaft,
        bearing=bearing,
        stage=stage,
        direction=direction,
        angle=None if angle is None else Measure(angle, "deg"),
        transducer=filled(
            Transducer, type=kind, tip=Measure(8.0, "mm") if probe else None, system_length=system, band=band
        ),
        chain=chain,
        range=span,
        setpoints=Setpoints(alarm, trip),
        voting_group=group,
        installation=filled(Installation, junction_box=box),
    )


def shaft_points(
    shaft: str, *, tag: str, full: bool, stages: Sequence[int] = (), chain: str = "monitor"
) -> list[Point]:
    """The points of one shaft: BG, a pinion or the driver M."""
    bearings = {"BG": ("B1", "B2"), "M": ("M1", "M2")}.get(shaft, (f"{shaft}-1", f"{shaft}-2"))
    found: list[Point] = []
    for place, bearing in enumerate(bearings):
        base = bearing if shaft == "M" else f"{shaft}/{bearing}"
        stage = stages[place] if place < len(stages) else None
        found += [
            point(f"{base}/radial/Y", "radial_vibration", tag=tag, angle=0.0, stage=stage, chain=chain),
            point(f"{base}/radial/X", "radial_vibration", tag=tag, angle=90.0, stage=stage, chain=chain),
            point(f"{base}/temperature/A", "bearing_temperature", tag=tag, box="JB-2"),
        ]
        if full:
            found.append(point(f"{base}/temperature/B", "bearing_temperature", tag=tag, box="JB-2"))
        if full and shaft in ("BG", "M"):
            found.append(point(f"{base}/casing", "casing_vibration", tag=tag))
    found.append(point(f"{shaft}/phase", "phase_reference", tag=tag))
    if full or shaft == "BG":
        found += [point(f"{shaft}/axial/{leg}", "axial_position", tag=tag) for leg in "AB"]
        found += [
            point(f"{shaft}/thrust/{side}/{n}", "bearing_temperature", tag=tag)
            for side in ("active", "inactive")
            for n in (1, 2)
        ]
    if full and shaft == "M":
        found += [
            point(f"M/overspeed/{n}", "overspeed", tag=tag, chain="overspeed_system") for n in (1, 2, 3)
        ]
        found += [
            point(f"M/winding/{n}", "winding_temperature", tag=tag, chain="direct") for n in range(1, 7)
        ]
        found.append(point("M/speed/1", "speed", tag=tag))
    return found


def sample_proposal(
    pinions: int = 2,
    *,
    stages: int | None = None,
    tag: str = "K-4410",
    full: bool = True,
    driver: bool = True,
    angles: Sequence[float] | None = None,
    ratios: Sequence[float] | None = None,
    input_pinion: bool = False,
    names: Sequence[str] = (),
    hold: bool = False,
) -> Proposal:
    """A proposal with the given number of pinions; ``full`` gives every kind of point everywhere."""
    stages = 2 * pinions if stages is None else stages
    ratios = ratios or [8.0 + 1.5 * i for i in range(pinions)]
    shafts = [_shaft("BG", "bull_gear", 1490.0, 1.0)]
    machine_pinions: list[dict[str, Any]] = []
    points = shaft_points("M", tag=tag, full=full) if driver else []
    points += shaft_points("BG", tag=tag, full=full)
    stage = 0
    for i in range(pinions):
        name = f"P{i + 1}"
        take = 2 if stages - stage - 2 >= pinions - i - 1 else min(1, stages - stage)
        carried = tuple(range(stage + 1, stage + take + 1))
        stage += take
        speed = 1490.0 * ratios[i]
        maker = names[i] if i < len(names) else f"HS{i + 1}"
        shafts.append(_shaft(name, "pinion", speed, ratios[i], maker, carried))
        machine_pinions.append(
            {
                "name": name,
                "maker_name": maker,
                "speed": speed,
                "stages": list(carried),
                "stage_sides": [1, 2][:take],
                "position_angle": None if angles is None else angles[i],
                "centre_distance": None,
                "role": "input" if input_pinion and i == 0 else "driven",
                "axial_location": "thrust_collar",
                "probe_target_diameter": 58.0,
                "journal_diameter": 60.0,
                "track_width": 26.0,
                "probe_side_clearance": 9.0,
                "expander_stages": [],
            }
        )
        points += shaft_points(name, tag=tag, full=full, stages=carried)
    kind = {"kind": "induction_motor", "power": 4100.0, "bearings": "sleeve"} if driver else None
    machine = {
        "tag": tag,
        "trains": [],
        "title": "Invented air compressor",
        "driver": kind,
        "setting_units": "si",
        "bull_gear": {"rotation": "clockwise", "radial_bearings": "fluid_film", "speed": 1490.0},
        "pinions": machine_pinions,
        "hazardous_area": {"zone": 2, "gas_group": "IIB", "temperature_class": "T3"},
    }
    return filled(
        Proposal,
        machine=machine,
        shafts=tuple(shafts),
        frequencies=_frequencies(shafts),
        points=tuple(points),
        checks=_checks(shafts, hold),
        architecture=_architecture(points),
        cause_and_effect=_effects(points),
        bill_of_materials=_bill(points),
    )


def _shaft(
    name: str, kind: str, speed: float, ratio: float, maker: str = "", stages: tuple[int, ...] = ()
) -> ShaftLine:
    return filled(
        ShaftLine,
        name=name,
        maker_name=maker,
        kind=kind,
        speed=Measure(speed, "rpm"),
        rotation_frequency=Measure(speed / 60, "Hz"),
        ratio=ratio,
        acceptance_limit=Measure(20.6, "um") if kind == "pinion" else None,
        stages=stages,
    )


def _frequencies(shafts: Sequence[ShaftLine]) -> tuple[FrequencyLine, ...]:
    lines: list[FrequencyLine] = []
    for shaft in shafts:
        assert shaft.rotation_frequency is not None
        turn = shaft.rotation_frequency.value
        kinds: list[tuple[str, float | None, float]] = [("rotation", 1.0, turn), ("gear_mesh", 281.0, 6977.0)]
        if shaft.kind == "pinion":
            kinds += [
                ("blade_pass", 17.0, turn * 17),
                ("vane_pass", 19.0, turn * 19),
                ("whirl_low", 0.38, turn * 0.38),
                ("whirl_high", 0.48, turn * 0.48),
                ("tooth_repeat", None, turn / 281),
            ]
        lines += [
            filled(FrequencyLine, shaft=shaft.name, kind=kind, order=order, frequency=Measure(hz, "Hz"))
            for kind, order, hz in kinds
        ]
    return tuple(lines)


def _checks(shafts: Sequence[ShaftLine], hold: bool) -> tuple[Check, ...]:
    return tuple(
        filled(
            Check,
            check="probe.tip_spacing",
            subject=f"{shaft.name}/{shaft.name}-1/radial",
            result="fail" if hold else "caution",
            text="Tips 42.8 mm apart, 8 mm tips need 40 mm.",
        )
        for shaft in shafts
        if shaft.kind == "pinion"
    )


def _architecture(points: Sequence[Point]) -> Architecture:
    boxes = tuple(
        filled(
            JunctionBox, key=key, points=tuple(p.key for p in points if p.installation.junction_box == key)
        )
        for key in ("JB-1", "JB-2")
    )
    modules: list[RackModule] = []
    for kind, size in (("dynamic", 4), ("temperature", 6)):
        elements = kind == "temperature"
        fitting = [
            p
            for p in points
            if p.chain == "monitor" and (p.transducer.type == "resistance_thermometer") == elements
        ]
        for start in range(0, len(fitting), size):
            chunk = fitting[start : start + size]
            channels = tuple(RackChannel(n + 1, n // 2 + 1, p.key) for n, p in enumerate(chunk))
            modules.append(RackModule(len(modules) + 1, kind, channels))
    racks = tuple(
        filled(Rack, key=f"R-{start // 13 + 1}", modules=tuple(modules[start : start + 13]), power_supplies=2)
        for start in range(0, len(modules), 13)
    )
    relays = tuple(
        filled(Relay, key=f"K-{key}", purpose=purpose, normally="energised", latched=key != "AL", rack="R-1")
        for key, purpose in (
            ("AL", "alarm"),
            ("RAD", "trip radial"),
            ("AX", "trip axial"),
            ("CF", "circuit fault"),
        )
    )
    cables = tuple(
        {
            "from": p.installation.junction_box,
            "to": "R-1",
            "kind": "triad",
            "length": {"value": 180.0, "unit": "m"},
            "points": [p.key],
        }
        for p in points
        if p.chain == "monitor"
    )
    link = Interface("DL-1", "data_link", ("R-1", "control system"), "read_only", "Read-only data link")
    return filled(
        Architecture, junction_boxes=boxes, racks=racks, relays=relays, cables=cables, interfaces=(link,)
    )


def _effects(points: Sequence[Point]) -> tuple[CauseAndEffect, ...]:
    groups: dict[str, list[Point]] = {}
    for p in points:
        groups.setdefault(p.voting_group, []).append(p)
    rows: list[CauseAndEffect] = []
    for group, members in groups.items():
        keys = tuple(p.key for p in members)
        trip_relay = "K-AX" if "axial" in group else "K-RAD"
        for level, setpoint_at, effects, relay in (
            ("alarm", members[0].setpoints.alarm, ("annunciate",), "K-AL"),
            ("trip", members[0].setpoints.trip, EFFECTS, trip_relay),
        ):
            if setpoint_at is not None:
                rows.append(
                    filled(
                        CauseAndEffect,
                        cause=group,
                        level=level,
                        effects=effects,
                        voting="1oo2",
                        acts_in="R-1",
                        relay=relay,
                        points=keys,
                    )
                )
    return tuple(rows)


def _bill(points: Sequence[Point]) -> tuple[BillLine, ...]:
    probes = tuple(p.key for p in points if p.transducer.type == "proximity_probe")
    return tuple(
        filled(BillLine, item=item, quantity=len(probes), points=probes)
        for item in ("proximity_probe_8mm", "oscillator_demodulator")
    )
