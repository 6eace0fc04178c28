"""Proposals built by hand, of any size, for the drawing tests (an invented machine).

Written against the proposal's types alone, so that the drawings are tested without the rules and
with more kinds of machine than the rules propose today.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

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
    ProcessProtection,
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
    Verdict,
)

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
    return Setpoint(
        value,
        unit,
        value,
        Measure(1.0, "s"),
        "radial.alarm_multiple",
        "hold" if hold else "proposed",
        low,
        None,
        None,
        None,
        None,
        candidates,
        (),
        "1oo2",
        group,
        True,
        None,
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
    return Point(
        key,
        full_tag,
        {"": full_tag},
        key,
        quantity,
        shaft,
        bearing,
        stage,
        direction,
        None if angle is None else Measure(angle, "deg"),
        Transducer(kind, Measure(8.0, "mm") if probe else None, system, None, band, ""),
        chain,
        span,
        Setpoints(alarm, trip),
        None,
        (),
        group,
        Installation(2, None, "Gc", "ec", "Ex ec IIB T3 Gc", "", None, box, None, ()),
        {"probe": "machine_maker", "monitor": "system_supplier"},
        (),
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
    shafts = [ShaftLine("BG", None, "bull_gear", Measure(1490.0, "rpm"), Measure(24.83, "Hz"), 1.0, None, ())]
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
        shafts.append(
            ShaftLine(
                name,
                maker,
                "pinion",
                Measure(speed, "rpm"),
                Measure(speed / 60, "Hz"),
                ratios[i],
                Measure(20.6, "um"),
                carried,
            )
        )
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
    return Proposal(
        "proposal/1",
        machine,
        "0",
        "0",
        Verdict("", "", "", "", "", 0),
        (),
        (),
        (),
        tuple(shafts),
        _frequencies(shafts),
        tuple(points),
        _checks(shafts, hold),
        _architecture(points),
        (),
        _effects(points),
        (
            ProcessProtection(
                "lube_oil_pressure_low", "Lube oil pressure low", "alarm", "trip", "2oo3", "control", ()
            ),
        ),
        _bill(points),
        (),
        (),
        (),
        (),
        (),
        (),
    )


def _frequencies(shafts: Sequence[ShaftLine]) -> tuple[FrequencyLine, ...]:
    lines: list[FrequencyLine] = []
    for shaft in shafts:
        assert shaft.rotation_frequency is not None
        turn = shaft.rotation_frequency.value
        lines.append(FrequencyLine(shaft.name, "rotation", 1.0, Measure(turn, "Hz"), "", ()))
        lines.append(FrequencyLine(shaft.name, "gear_mesh", 281.0, Measure(6977.0, "Hz"), "", ()))
        if shaft.kind == "pinion":
            lines += [
                FrequencyLine(shaft.name, "blade_pass", 17.0, Measure(turn * 17, "Hz"), "", ()),
                FrequencyLine(shaft.name, "vane_pass", 19.0, Measure(turn * 19, "Hz"), "", ()),
                FrequencyLine(shaft.name, "whirl_low", 0.38, Measure(turn * 0.38, "Hz"), "", ()),
                FrequencyLine(shaft.name, "whirl_high", 0.48, Measure(turn * 0.48, "Hz"), "", ()),
                FrequencyLine(shaft.name, "tooth_repeat", None, Measure(turn / 281, "Hz"), "", ()),
            ]
    return tuple(lines)


def _checks(shafts: Sequence[ShaftLine], hold: bool) -> tuple[Check, ...]:
    found = [
        Check(
            "probe.tip_spacing",
            f"{s.name}/{s.name}-1/radial",
            "fail" if hold else "caution",
            Measure(42.8, "mm"),
            Measure(40.0, "mm"),
            "Tips",
            (),
            None,
            (),
        )
        for s in shafts
        if s.kind == "pinion"
    ]
    return tuple(found)


def _architecture(points: Sequence[Point]) -> Architecture:
    boxes = tuple(
        JunctionBox(
            key,
            tuple(p.key for p in points if p.installation.junction_box == key),
            8,
            "vibration",
            "IGC",
            1,
            30,
            6,
        )
        for key in ("JB-1", "JB-2")
    )
    modules: list[RackModule] = []
    monitored = [p for p in points if p.chain == "monitor" and p.transducer.type != "resistance_thermometer"]
    for start in range(0, len(monitored), 4):
        chunk = monitored[start : start + 4]
        channels = tuple(RackChannel(n + 1, n // 2 + 1, p.key) for n, p in enumerate(chunk))
        modules.append(RackModule(len(modules) + 1, "dynamic", channels))
    elements = [p for p in points if p.chain == "monitor" and p.transducer.type == "resistance_thermometer"]
    for start in range(0, len(elements), 6):
        chunk = elements[start : start + 6]
        channels = tuple(RackChannel(n + 1, 1, p.key) for n, p in enumerate(chunk))
        modules.append(RackModule(len(modules) + 1, "temperature", channels))
    racks = tuple(
        Rack(f"R-{start // 13 + 1}", tuple(modules[start : start + 13]), 2, 1, 2)
        for start in range(0, len(modules), 13)
    )
    relays = tuple(
        Relay(
            f"K-{key}", text, "energised" if key == "CF" else "de-energised", key != "AL", "R-1", (), text, ()
        )
        for key, text in (
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
        for p in monitored
    )
    link = Interface("DL-1", "data_link", ("R-1", "control system"), "read_only", "Read-only data link")
    return Architecture(boxes, racks, relays, len(racks) * 2, cables, (link,), ())


def _effects(points: Sequence[Point]) -> tuple[CauseAndEffect, ...]:
    groups: dict[str, list[Point]] = {}
    for p in points:
        groups.setdefault(p.voting_group, []).append(p)
    rows: list[CauseAndEffect] = []
    for group, members in groups.items():
        keys = tuple(p.key for p in members)
        sets = members[0].setpoints
        if sets.alarm:
            rows.append(
                CauseAndEffect(
                    group,
                    "alarm",
                    ("annunciate",),
                    Measure(1.0, "s"),
                    "1oo2",
                    "30 um",
                    "monitor",
                    "K-AL",
                    keys,
                    "",
                    (),
                )
            )
        if sets.trip:
            relay = "K-AX" if "axial" in group else "K-RAD"
            rows.append(
                CauseAndEffect(
                    group, "trip", EFFECTS, Measure(1.0, "s"), "1oo2", "41 um", "monitor", relay, keys, "", ()
                )
            )
    return tuple(rows)


def _bill(points: Sequence[Point]) -> tuple[BillLine, ...]:
    probes = tuple(p.key for p in points if p.transducer.type == "proximity_probe")
    return (
        BillLine(
            "proximity_probe_8mm", "Proximity probe", len(probes), 2, "piece", "machine_maker", probes, ()
        ),
        BillLine(
            "oscillator_demodulator", "Electronics", len(probes), 2, "piece", "machine_maker", probes, ()
        ),
    )
