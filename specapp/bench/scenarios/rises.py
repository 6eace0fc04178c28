"""Vibration, movement, temperature and speed that really rise: a step, a slow rise, a wrong scale factor,
set gaps."""

from __future__ import annotations

from collections.abc import Iterator
from math import copysign

import numpy as np

from specapp.bench.excitation import Excitation
from specapp.bench.filters import Signal
from specapp.bench.ground import LEAD_S, Ground
from specapp.bench.result import Expected
from specapp.bench.scenario import (
    Case,
    Scenario,
    disturbed,
    excitation,
    expected_act,
    growing,
    response_s,
    step_size,
    tail_s,
)

__all__ = ["SLOW_RISE", "STEP", "TIP_SATURATION", "WRONG_ALLOY", "level_signal", "unit_of"]

_STEP, _TEMPERATURE_OVER, _SPEED_OVER = 1.3, 1.08, 1.02
_SLOW, _SLOW_S = 1.15, 3.5
_TEMPERATURE_STEP_K_PER_S, _TEMPERATURE_SLOW_K_PER_S = 3.0, 1.0
_ALL = frozenset(
    {
        "radial_vibration",
        "axial_position",
        "casing_vibration",
        "bearing_temperature",
        "winding_temperature",
        "overspeed",
    }
)
_ELEMENTS = ("bearing_temperature", "winding_temperature")
_GAP_TOLERANCE_V = 1.0  # criteria: -9 to -11 V about -10 V


def unit_of(ground: Ground) -> str:
    """Return the unit in which the size of a rise is said."""
    return {"um": "um p-p", "mm/s": "mm/s r.m.s."}.get(ground.function.model_unit, ground.function.model_unit)


def _nominal(ground: Ground, share: float) -> float:
    function = ground.function
    if function.quantity in _ELEMENTS:
        return function.level * _TEMPERATURE_OVER
    if function.quantity == "overspeed":
        return function.level * _SPEED_OVER
    return function.level * share


def level_signal(ground: Ground, size: float, rise_s: float, seconds: float) -> Signal:
    """Return a signal that comes to a level after the lead, rising for a time; elements rise at their
    pace."""
    function = ground.function
    if function.quantity == "radial_vibration":
        grown = step_size(ground, ground.orbit, size)
        return disturbed(ground, ground.orbit, grown, seconds, rise_s)
    still = ground.still(seconds)
    envelope = growing(ground, still.shape[1], LEAD_S, rise_s)
    if function.quantity == "axial_position":
        return still + np.float32(1000 * size) * envelope
    if function.quantity == "casing_vibration":
        hz = ground.casing_rotor_hz
        added = max(size**2 - function.normal**2, 0.0) ** 0.5
        return (
            still + np.float32(ground.acceleration(added, hz)) * ground.rotor(hz, still.shape[1]) * envelope
        )
    start = function.normal if function.quantity in _ELEMENTS else ground.speed_hz * 60
    return still + np.float32(size - start) * envelope


def _rise_s(ground: Ground, size: float, *, slow: bool) -> float:
    function = ground.function
    if function.quantity in _ELEMENTS:
        pace = _TEMPERATURE_SLOW_K_PER_S if slow else _TEMPERATURE_STEP_K_PER_S
        return abs(size - function.normal) / pace
    if function.quantity == "overspeed":
        return 10.0 if slow else 1.0
    return _SLOW_S if slow else 0.0


def _rising(ground: Ground, *, slow: bool) -> Iterator[Case]:
    nominal = _nominal(ground, _SLOW if slow else _STEP)

    def build(size: float) -> Excitation:
        rise = _rise_s(ground, size, slow=slow)
        seconds = LEAD_S + rise + tail_s(ground)
        return excitation(ground, level_signal(ground, size, rise, seconds))

    allowed = response_s(ground) + _rise_s(ground, nominal, slow=slow)
    words = "slow rise to" if slow else "step to"
    if ground.function.quantity in _ELEMENTS:
        words = "rise of 1 K/s to" if slow else "rise of 3 K/s to"
    yield Case(
        "slow rise" if slow else "step",
        expected_act(ground.function),
        nominal,
        unit_of(ground),
        words,
        build,
        ("detector_window", "voting"),
        allowed,
    )


STEP = Scenario(
    "step_above_trip",
    "Step to above trip",
    "The level jumps 30 percent above the trip on every leg and stays: it must trip in time. "
    "Temperatures rise at "
    "3 K/s, below the rate that counts as a broken element; speed runs up in 1 s.",
    _ALL,
    lambda ground: _rising(ground, slow=False),
)
SLOW_RISE = Scenario(
    "slow_rise",
    "Slow rise to above trip",
    "The level climbs steadily to 15 percent above the trip, faster than on a machine to save time: the "
    "alarm must come "
    "first and the trip must follow.",
    _ALL,
    lambda ground: _rising(ground, slow=True),
)


def _alloy(ground: Ground) -> Iterator[Case]:
    settings, function = ground.settings, ground.function
    # A material that the system was not calibrated to may be off by half as much again (assumed).
    error = settings.scale_error_percent / 100 * (1.0 if function.material_known else 1.5)
    seconds = LEAD_S + tail_s(ground)
    true = _nominal(ground, _STEP)

    def low(size: float) -> Excitation:
        signal = level_signal(ground, true, 0.0, seconds)
        return excitation(ground, signal, scale_ratio=max(1 - size / 100, 0.02))

    yield Case(
        "reads low",
        expected_act(function),
        100 * error,
        "%",
        f"scale factor too low while the machine is at {true:.3g} {unit_of(ground)}, by",
        low,
        ("calibration",),
        bounds="high",
        most=0.95 / error,
    )
    top = function.alarm if function.alarm is not None else function.level
    quiet = 0.8 * top

    def high(size: float) -> Excitation:
        signal = level_signal(ground, quiet, 0.0, seconds)
        return excitation(ground, signal, scale_ratio=1 + size / 100)

    yield Case(
        "reads high",
        "quiet",
        100 * error,
        "%",
        f"scale factor too high while the machine is at {quiet:.3g} {unit_of(ground)}, by",
        high,
        ("calibration",),
        bounds="high",
    )


WRONG_ALLOY = Scenario(
    "wrong_alloy",
    "Scale factor wrong for the shaft alloy",
    "The probe looks at another alloy than it was calibrated to: by the operating error of the scale factor "
    "where the material is one it is made for, by half as much again where it is another or not told "
    "(assumed). A level above "
    "trip must still trip, one at 80 percent of the alarm must not alarm.",
    frozenset({"radial_vibration", "axial_position"}),
    _alloy,
)


def _saturation(ground: Ground) -> Iterator[Case]:
    function, settings = ground.function, ground.settings
    nominal_level = _nominal(ground, _STEP)
    tolerance_mm = _GAP_TOLERANCE_V / settings.scale_factor_v_per_mm
    moves_mm = function.clearance_mm if function.quantity == "radial_vibration" else 0.0
    seconds = LEAD_S + tail_s(ground)
    expected: Expected = expected_act(function)
    for name, side in (("toward the tip", -1.0), ("away from the tip", 1.0)):

        def build(size: float, side: float = side) -> Excitation:
            signal = level_signal(ground, copysign(nominal_level, side), 0.0, seconds)
            if function.quantity == "radial_vibration":
                signal = level_signal(ground, nominal_level, 0.0, seconds)
            return excitation(ground, signal, gap_offset_mm=side * size)

        yield Case(
            name,
            expected,
            tolerance_mm + moves_mm,
            "mm",
            f"gap off its middle {name} while the machine is at {nominal_level:.3g} {unit_of(ground)}, by",
            build,
            bounds="high",
        )


TIP_SATURATION = Scenario(
    "tip_saturation",
    "Gap near the end of the range",
    "The gap was set 1 V off and the shaft has moved through its bearing clearance besides: a level "
    "above trip "
    "must still trip before the curve bends or the gap counts as a circuit fault.",
    frozenset({"radial_vibration", "axial_position"}),
    _saturation,
)
