"""A curve of a probe as left against the same one as found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from specapp.kernel.errors import DomainError
from specapp.kernel.loop_curve import (
    curve_readings,
    gap_at_voltage_mm,
    least_squares_scale_factor_v_per_mm,
    voltage_at_gap_v,
)

__all__ = ["CurveChange", "CurveComparison", "compare_curves"]


class CurveChange(NamedTuple):
    """The difference of one gap between two curves [V]; as left minus as found."""

    gap_mm: float
    volts: float


@dataclass(frozen=True, slots=True)
class CurveComparison:
    """As left against as found: slope [percent], gap at a voltage [mm], largest difference at a common
    gap."""

    scale_factor_percent: float
    gap_shift_mm: float
    changes: tuple[CurveChange, ...]
    largest_um: float


def compare_curves(
    as_found: Sequence[tuple[float, float]], as_left: Sequence[tuple[float, float]], gap_v: float = -10.0
) -> CurveComparison:
    """Return what has changed from one curve to another.

    Parameters
    ----------
    as_found : sequence of (float, float)
        Gap [mm] and output [V] before; at least five.
    as_left : sequence of (float, float)
        Gap [mm] and output [V] after; at least five.
    gap_v : float
        Voltage at which the shift of the gap is told [V], on both curves.

    Returns
    -------
    CurveComparison
        Change of the least-squares scale factor over the common gaps [percent], shift of the gap at `gap_v`
        [mm],
        differences at the gaps of the first curve that the second one covers, the largest as a movement [um].

    Raises
    ------
    DomainError
        If a reading is outside its range, a curve does not reach the voltage or they have no gap in common.

    Notes
    -----
    Source: arithmetic.  Checked: tests/kernel/test_loop_curve.py.

    Examples
    --------
    >>> before = [(0.5, -4.0), (0.75, -6.0), (1.0, -8.0), (1.25, -10.0), (1.5, -12.0)]
    >>> after = [(gap, volts - 0.08) for gap, volts in before]
    >>> found = compare_curves(before, after)
    >>> round(found.gap_shift_mm, 3), round(found.largest_um, 1)
    (-0.01, 10.0)
    """
    first, second = curve_readings(as_found), curve_readings(as_left)
    low, high = max(first[0].gap_mm, second[0].gap_mm), min(first[-1].gap_mm, second[-1].gap_mm)
    common = [point for point in first if low <= point.gap_mm <= high]
    if len(common) < 2:
        raise DomainError("as_left", len(common), "a curve over at least two of the gaps of the other")
    changes = tuple(
        CurveChange(point.gap_mm, voltage_at_gap_v(second, point.gap_mm) - point.volts) for point in common
    )
    before = least_squares_scale_factor_v_per_mm(common)
    after = least_squares_scale_factor_v_per_mm(
        [(point.gap_mm, voltage_at_gap_v(second, point.gap_mm)) for point in common]
    )
    if before <= 0:
        raise DomainError("as_found", before, "a curve that falls as the gap opens", "V/mm")
    shift = gap_at_voltage_mm(second, gap_v) - gap_at_voltage_mm(first, gap_v)
    largest = max(abs(change.volts) for change in changes)
    return CurveComparison(100 * (after / before - 1), shift, changes, 1000 * largest / before)
