"""What a technician reads at the terminals of a point: gap, volts, milliamperes or ohms at each level.

Worked out from the range and the setpoints of a proposal; setpoints that already carry their signal are
taken as they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from specapp.domain.proposal import Point, Proposal, Setpoint
from specapp.kernel.loops import current_ma
from specapp.kernel.resistance_thermometers import platinum_resistance_ohm
from specapp.rulebook.setting_units import SettingUnits, setting_units

_UM_PER_MM = 1000.0
_HELD = "held, not released"
_PLACEHOLDER = "placeholder, by the maker"
_SIGN_OPEN = "sign open: which way the probe looks is not told"


@dataclass(frozen=True, slots=True)
class Level:
    """One level of a point: its reading and what stands at the terminals for it.

    ``low`` and ``signal_low`` are the low side of a two-sided level. ``signal`` is None where it cannot be
    told; ``note`` then says why, or that the level is not to be set.
    """

    name: str
    value: float | None
    low: float | None
    unit: str
    signal: float | None
    signal_low: float | None
    signal_unit: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class PointSignals:
    """Everything a card says of one point. ``gap_v`` is the gap setting, None without a probe; ``fault``
    names the band that is a circuit fault."""

    point: Point
    gap_v: float | None
    gap_from_v: float | None
    gap_to_v: float | None
    levels: tuple[Level, ...]
    fault: str


def point_signals(proposal: Proposal) -> tuple[PointSignals, ...]:
    """Return the signals of every point of a proposal, in its order."""
    criteria = {str(row["key"]): row["value"] for row in proposal.criteria}
    units = setting_units(str(proposal.machine.get("setting_units", "si")))
    return tuple(_signals(point, criteria, units) for point in proposal.points)


def _signals(point: Point, criteria: Mapping[str, float], units: SettingUnits) -> PointSignals:
    kind = point.transducer.type
    probe = kind == "proximity_probe"
    gap_v = criteria["probe.gap_voltage"] if probe else None
    if point.chain == "transmitter":
        levels = _currents(point)
    elif probe and point.quantity == "radial_vibration":
        scale_v = units.displacement.canonical(1.0) / _UM_PER_MM * criteria["probe.scale_factor"]
        levels = _peak_to_peak(point, scale_v)
    elif probe and point.quantity == "axial_position":
        levels = _gaps(point, criteria["probe.scale_factor"] * units.axial.canonical(1.0), gap_v or 0.0)
    elif kind == "resistance_thermometer":
        levels = _ohms(point, units)
    else:
        levels = _bare(point)
    return PointSignals(
        point,
        gap_v,
        criteria["probe.gap_voltage_high"] if probe else None,
        criteria["probe.gap_voltage_low"] if probe else None,
        levels,
        _fault(point, criteria),
    )


def _fault(point: Point, criteria: Mapping[str, float]) -> str:
    if point.chain == "transmitter":
        return (
            f"fault at {criteria['loop.fault_low']:g} mA and below, {criteria['loop.fault_high']:g} mA and "
            f"above; reading {criteria['loop.band_low']:g} to {criteria['loop.band_high']:g} mA"
        )
    if point.transducer.type == "proximity_probe":
        near, far = criteria["probe.fault_voltage_near"], criteria["probe.fault_voltage_far"]
        return f"fault above {near:g} V and below {far:g} V"
    if point.transducer.type == "resistance_thermometer":
        return "fault when open or shorted"
    return "fault by sensor supervision"


def _set(name: str, setpoint: Setpoint | None) -> tuple[str, str] | None:
    """Return the name of a level with what keeps it from being set, None for a level there is not."""
    if setpoint is None or (setpoint.value is None and setpoint.status != "placeholder"):
        return None
    notes = {"hold": _HELD, "placeholder": _PLACEHOLDER}
    return name, notes.get(setpoint.status, "")


def _named(point: Point) -> list[tuple[str, Setpoint, str]]:
    found = []
    for name, setpoint in (("alarm", point.setpoints.alarm), ("trip", point.setpoints.trip)):
        stated = _set(name, setpoint)
        if stated is not None and setpoint is not None:
            found.append((name, setpoint, stated[1]))
    return found


def _level(name: str, setpoint: Setpoint, note: str, signal: tuple[float | None, ...], unit: str) -> Level:
    """Return a level; a held one gives no figure to set."""
    if note == _HELD:
        return Level(name, None, None, setpoint.unit, None, None, unit, note)
    high, low = signal
    return Level(name, setpoint.value, setpoint.low, setpoint.unit, high, low, unit, note)


def _bare(point: Point) -> tuple[Level, ...]:
    """Return the levels of a sensor whose signal depends on the frequency: readings without volts."""
    levels = [_level(name, setpoint, note, (None, None), "") for name, setpoint, note in _named(point)]
    if point.range is not None:
        high = point.range.high
        levels.append(Level("full scale", high.value, None, high.unit, None, None, ""))
    return tuple(levels)


def _currents(point: Point) -> tuple[Level, ...]:
    span = point.range
    if span is None:
        return ()
    low, high, unit = span.low.value, span.high.value, span.high.unit
    two_sided = low < 0
    levels = [Level("zero", 0.0, None, unit, current_ma(0.0, low, high), None, "mA")]
    for name, setpoint, note in _named(point):
        levels.append(_level(name, setpoint, note, (setpoint.milliamps, setpoint.milliamps_low), "mA"))
    full_low = (low, current_ma(low, low, high)) if two_sided else (None, None)
    levels.append(
        Level("full scale", high, full_low[0], unit, current_ma(high, low, high), full_low[1], "mA")
    )
    return tuple(levels)


def _peak_to_peak(point: Point, scale_v: float) -> tuple[Level, ...]:
    span = point.range
    unit = span.high.unit if span is not None else ""
    levels = [Level("zero", 0.0, None, unit, 0.0, None, "V p-p")]
    for name, setpoint, note in _named(point):
        signal = None if setpoint.value is None else setpoint.value * scale_v
        levels.append(_level(name, setpoint, note, (signal, None), "V p-p"))
    if span is not None:
        levels.append(
            Level("full scale", span.high.value, None, unit, span.high.value * scale_v, None, "V p-p")
        )
    return tuple(levels)


def _gaps(point: Point, scale_v: float, gap_v: float) -> tuple[Level, ...]:
    """Return the gap volts of an axial point; without the side the probe looks to, no volts but at zero."""
    span = point.range
    unit = span.high.unit if span is not None else ""
    levels = [Level("zero", 0.0, None, unit, gap_v, None, "V")]
    away = None
    for name, setpoint, note in _named(point):
        volts, volts_low = setpoint.volts, setpoint.volts_low
        if volts is not None and setpoint.value:
            away = 1.0 if (volts - gap_v) * setpoint.value < 0 else -1.0
        elif not note:
            note = _SIGN_OPEN
        levels.append(_level(name, setpoint, note, (volts, volts_low), "V"))
    if span is not None:
        signals: tuple[float | None, float | None] = (None, None)
        if away is not None:
            signals = (gap_v - away * scale_v * span.high.value, gap_v - away * scale_v * span.low.value)
        note = "" if away is not None else _SIGN_OPEN
        levels.append(
            Level("full scale", span.high.value, span.low.value, unit, signals[0], signals[1], "V", note)
        )
    return tuple(levels)


def _ohms(point: Point, units: SettingUnits) -> tuple[Level, ...]:
    def ohm(reading: float | None) -> float | None:
        if reading is None:
            return None
        return platinum_resistance_ohm(units.temperature.canonical(reading))

    span = point.range
    levels = []
    if span is not None:
        levels.append(Level("low end", span.low.value, None, span.low.unit, ohm(span.low.value), None, "ohm"))
    for name, setpoint, note in _named(point):
        levels.append(_level(name, setpoint, note, (ohm(setpoint.value), None), "ohm"))
    if span is not None:
        levels.append(
            Level("full scale", span.high.value, None, span.high.unit, ohm(span.high.value), None, "ohm")
        )
    return tuple(levels)
