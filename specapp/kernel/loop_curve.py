"""The curve of a probe, extension cable and oscillator-demodulator, taken step by step with a micrometer.

Gap voltages are negative and fall as the gap opens; scale factors are stated positive.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from specapp.kernel.arguments import finite, non_negative, positive
from specapp.kernel.errors import DomainError
from specapp.kernel.loop_curve_targets import TargetFamily, target_families

__all__ = [
    "CurvePoint",
    "Increment",
    "LoopCurve",
    "curve_readings",
    "gap_at_voltage_mm",
    "incremental_scale_factors",
    "least_squares_scale_factor_v_per_mm",
    "loop_curve",
    "voltage_at_gap_v",
]

_NOMINAL: Final = 7.87
_FEWEST: Final = 5


class CurvePoint(NamedTuple):
    """One reading: gap on the micrometer [mm], output [V]."""

    gap_mm: float
    volts: float


class Increment(NamedTuple):
    """The slope between two readings: middle of the gap [mm], scale factor [V/mm], its error [percent]."""

    gap_mm: float
    scale_factor_v_per_mm: float
    error_percent: float


@dataclass(frozen=True, slots=True)
class LoopCurve:
    """What a curve shows.

    `low_gap_mm` to `high_gap_mm` is the longest stretch in which every increment and the deviation from the
    straight line of nominal slope keep their limits; `best_gap_v` the voltage at its middle. `deviations_um`
    belong to the readings of
    that stretch, `average_v_per_mm` is its least-squares slope. `problems` are sentences, empty for a pass.
    """

    points: tuple[CurvePoint, ...]
    increments: tuple[Increment, ...]
    average_v_per_mm: float
    low_gap_mm: float
    high_gap_mm: float
    linear_range_mm: float
    deviations_um: tuple[tuple[float, float], ...]
    largest_deviation_um: float
    largest_increment_error_percent: float
    best_gap_mm: float
    best_gap_v: float
    families: tuple[TargetFamily, ...]
    passes: bool
    problems: tuple[str, ...]


def curve_readings(points: Sequence[tuple[float, float]]) -> tuple[CurvePoint, ...]:
    """Return the readings of a curve in order of the gap.

    Parameters
    ----------
    points : sequence of (float, float)
        Gap [mm], >= 0 and each once, and output [V], -30 to 0; at least five, in any order.

    Returns
    -------
    tuple of CurvePoint
        The readings by rising gap.

    Raises
    ------
    DomainError
        If there are too few, a gap comes twice or a number is outside its range.

    Notes
    -----
    Source: common practice.
    """
    if len(points) < _FEWEST:
        raise DomainError("points", len(points), f"at least {_FEWEST} readings")
    found = []
    for number, (gap, volts) in enumerate(points, start=1):
        non_negative(f"points[{number}].gap_mm", gap, "mm")
        if not -30 <= finite(f"points[{number}].volts", volts, "V") <= 0:
            raise DomainError(f"points[{number}].volts", volts, "from -30 to 0 V", "V")
        found.append(CurvePoint(float(gap), float(volts)))
    found.sort()
    for first, second in itertools.pairwise(found):
        if first.gap_mm == second.gap_mm:
            raise DomainError("gap_mm", first.gap_mm, "given once only", "mm")
    return tuple(found)


def incremental_scale_factors(
    points: Sequence[tuple[float, float]], nominal_v_per_mm: float = _NOMINAL
) -> tuple[Increment, ...]:
    """Return the scale factor between every two neighbouring readings.

    Parameters
    ----------
    points : sequence of (float, float)
        Gap [mm], >= 0 and each once, and output [V], -30 to 0; at least five, in any order.
    nominal_v_per_mm : float
        Nominal scale factor [V/mm], > 0.

    Returns
    -------
    tuple of Increment
        One fewer than readings, by rising gap.

    Raises
    ------
    DomainError
        If a reading is outside its range or the nominal scale factor not above 0.

    Notes
    -----
    Source: definition, API 670 (from memory).  Checked: tests/kernel/test_loop_curve.py.

    Examples
    --------
    >>> found = incremental_scale_factors([(n / 4, -2.0 * n) for n in range(1, 7)])
    >>> found[0].scale_factor_v_per_mm, round(found[0].error_percent, 2)
    (8.0, 1.65)
    """
    positive("nominal_v_per_mm", nominal_v_per_mm, "V/mm")
    readings = curve_readings(points)
    found = []
    for first, second in itertools.pairwise(readings):
        slope = (first.volts - second.volts) / (second.gap_mm - first.gap_mm)
        error = 100 * (slope / nominal_v_per_mm - 1)
        found.append(Increment((first.gap_mm + second.gap_mm) / 2, slope, error))
    return tuple(found)


def least_squares_scale_factor_v_per_mm(points: Sequence[tuple[float, float]]) -> float:
    """Return the slope of the straight line of least squares, positive for a falling voltage.

    Parameters
    ----------
    points : sequence of (float, float)
        Gap [mm] and output [V]; at least two gaps.

    Returns
    -------
    float
        Average scale factor [V/mm].

    Raises
    ------
    DomainError
        If there are fewer than two different gaps.

    Notes
    -----
    Source: method of least squares.  Checked: tests/kernel/test_loop_curve.py, against scipy.stats.

    Examples
    --------
    >>> least_squares_scale_factor_v_per_mm([(0.0, -1.0), (1.0, -9.0), (2.0, -17.0)])
    8.0
    """
    if len({gap for gap, _ in points}) < 2:
        raise DomainError("points", len(points), "at least two different gaps")
    mean_gap = sum(gap for gap, _ in points) / len(points)
    mean_volts = sum(volts for _, volts in points) / len(points)
    above = sum((gap - mean_gap) * (volts - mean_volts) for gap, volts in points)
    return -above / sum((gap - mean_gap) ** 2 for gap, _ in points)


def _deviations_um(points: Sequence[CurvePoint], nominal: float) -> tuple[tuple[float, float], ...]:
    """Return gap and deviation from the line of nominal slope that lies in the middle of the readings."""
    rests = [point.volts + nominal * point.gap_mm for point in points]
    middle = (max(rests) + min(rests)) / 2
    return tuple(
        (point.gap_mm, 1000 * (rest - middle) / nominal) for point, rest in zip(points, rests, strict=True)
    )


def gap_at_voltage_mm(points: Sequence[tuple[float, float]], volts: float) -> float:
    """Return the gap at which a curve has a voltage, straight between its readings.

    Parameters
    ----------
    points : sequence of (float, float)
        Gap [mm] and output [V]; at least five.
    volts : float
        Output [V], within the curve.

    Returns
    -------
    float
        Gap [mm], the smallest where the curve has the voltage more than once.

    Raises
    ------
    DomainError
        If the curve does not reach the voltage.

    Notes
    -----
    Source: linear interpolation.

    Examples
    --------
    >>> gap_at_voltage_mm([(0.5, -4.0), (0.75, -6.0), (1.0, -8.0), (1.25, -10.0), (1.5, -12.0)], -9.0)
    1.125
    """
    readings = curve_readings(points)
    finite("volts", volts, "V")
    for first, second in itertools.pairwise(readings):
        if first.volts >= volts >= second.volts and first.volts != second.volts:
            share = (first.volts - volts) / (first.volts - second.volts)
            return first.gap_mm + share * (second.gap_mm - first.gap_mm)
    reach = f"from {readings[0].volts:g} to {readings[-1].volts:g} V, which the curve reaches"
    raise DomainError("volts", volts, reach, "V")


def voltage_at_gap_v(points: Sequence[CurvePoint], gap_mm: float) -> float:
    """Return the output of a curve at a gap, straight between its readings.

    Parameters
    ----------
    points : sequence of CurvePoint
        Readings by rising gap, as `curve_readings` returns them.
    gap_mm : float
        Gap within the curve [mm].

    Returns
    -------
    float
        Output [V].

    Raises
    ------
    DomainError
        If the gap is outside the curve.

    Notes
    -----
    Source: linear interpolation.
    """
    for first, second in itertools.pairwise(points):
        if first.gap_mm <= gap_mm <= second.gap_mm:
            share = (gap_mm - first.gap_mm) / (second.gap_mm - first.gap_mm)
            return first.volts + share * (second.volts - first.volts)
    raise DomainError("gap_mm", gap_mm, "within the curve", "mm")


def loop_curve(
    points: Sequence[tuple[float, float]],
    *,
    nominal_v_per_mm: float = _NOMINAL,
    increment_error_percent: float = 5.0,
    deviation_um: float = 25.0,
    range_mm: float = 2.0,
) -> LoopCurve:
    """Return what a curve shows and whether it passes.

    Parameters
    ----------
    points : sequence of (float, float)
        Gap [mm], >= 0 and each once, and output [V], -30 to 0; at least five, in any order.
    nominal_v_per_mm : float
        Nominal scale factor [V/mm], > 0.
    increment_error_percent : float
        Error allowed of every increment [percent], > 0.
    deviation_um : float
        Deviation allowed from the straight line of nominal slope [um], > 0.
    range_mm : float
        Linear range asked for [mm], > 0.

    Returns
    -------
    LoopCurve
        The longest stretch that keeps both limits, and the problems in words; without any such stretch the
        whole
        curve is described.

    Raises
    ------
    DomainError
        If a reading or a limit is outside its range.

    Notes
    -----
    Limits by default: testing range. The line of nominal slope lies so that the largest deviation on either
    side is the same.

    Source: API 670 for limits and method (from memory).  Checked: tests/kernel/test_loop_curve.py.

    Examples
    --------
    >>> curve = loop_curve([(0.25 * n, -2.0 - 7.87 * 0.25 * (n - 1)) for n in range(1, 10)])
    >>> curve.passes, round(curve.linear_range_mm, 3), round(curve.best_gap_v, 2)
    (True, 2.0, -9.87)
    """
    for name, value in (
        ("increment_error_percent", increment_error_percent),
        ("deviation_um", deviation_um),
        ("range_mm", range_mm),
    ):
        positive(name, value)
    readings = curve_readings(points)
    increments = incremental_scale_factors(readings, nominal_v_per_mm)
    stretch = _longest(readings, increments, nominal_v_per_mm, increment_error_percent, deviation_um)
    within = readings[stretch[0] : stretch[1] + 1] if stretch else readings
    steps = increments[stretch[0] : stretch[1]] if stretch else increments
    average = least_squares_scale_factor_v_per_mm(within)
    deviations = _deviations_um(within, nominal_v_per_mm)
    low, high = within[0].gap_mm, within[-1].gap_mm
    middle = (low + high) / 2
    length = high - low if stretch else 0.0
    families = target_families(average) if average > 0 else ()
    problems = _problems(average, nominal_v_per_mm, length, range_mm, increment_error_percent, families)
    return LoopCurve(
        readings,
        increments,
        average,
        low,
        high,
        length,
        deviations,
        max(abs(value) for _, value in deviations),
        max((abs(step.error_percent) for step in steps), default=0.0),
        middle,
        voltage_at_gap_v(readings, middle),
        families,
        not problems,
        tuple(problems),
    )


def _longest(
    readings: Sequence[CurvePoint],
    increments: Sequence[Increment],
    nominal: float,
    error_percent: float,
    deviation_um: float,
) -> tuple[int, int] | None:
    """Return first and last reading of the longest stretch within both limits; rounding counts as within."""
    best: tuple[int, int] | None = None
    for first in range(len(readings) - 1):
        for last in range(first + 1, len(readings)):
            if abs(increments[last - 1].error_percent) > error_percent + 1e-9:
                break
            worst = max(abs(off) for _, off in _deviations_um(readings[first : last + 1], nominal))
            if worst > deviation_um + 1e-9:
                break
            length = readings[last].gap_mm - readings[first].gap_mm
            if best is None or length > readings[best[1]].gap_mm - readings[best[0]].gap_mm + 1e-12:
                best = (first, last)
    return best


def _problems(
    average: float,
    nominal: float,
    length: float,
    asked: float,
    error_percent: float,
    families: Sequence[TargetFamily],
) -> list[str]:
    found = []
    if length < asked - 1e-9:
        found.append(
            f"The linear range is {length:.3g} mm, {asked:g} mm are asked for: increments within "
            f"{error_percent:g} percent and deviation within its limit."
        )
    off = 100 * (average / nominal - 1)
    if abs(off) > error_percent + 1e-9:
        like = " or ".join(family.name for family in families)
        hint = f"that is like {like}" if like else "that is like no alloy: look at cable length and parts"
        found.append(f"The average scale factor is {average:.3g} V/mm, {off:+.1f} percent off: {hint}.")
    return found
