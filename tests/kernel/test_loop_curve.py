"""Loop curves: one worked by hand, regression against scipy.stats, each side of every limit.

The hand-worked curve is invented: eleven readings 0.25 mm apart with one soft end on either side.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from specapp.kernel.errors import DomainError
from specapp.kernel.loop_curve import (
    gap_at_voltage_mm,
    incremental_scale_factors,
    least_squares_scale_factor_v_per_mm,
    loop_curve,
)
from specapp.kernel.loop_curve_comparison import compare_curves
from specapp.kernel.loop_curve_targets import target_families

# Gap, voltage; by hand: increments 4.8, 7.84, 7.92, 7.88, 7.84, 7.92, 7.88, 7.80, 7.96, 5.6 V/mm.
HAND = [
    (0.00, -0.80), (0.25, -2.00), (0.50, -3.96), (0.75, -5.94), (1.00, -7.91), (1.25, -9.87), (1.50, -11.85),
    (1.75, -13.82), (2.00, -15.77), (2.25, -17.76), (2.50, -19.16),
]  # fmt: skip


def straight(slope=7.87, count=11, start=-1.0, step=0.25):
    return [(0.2 + step * n, start - slope * step * n) for n in range(count)]


def test_curve_worked_by_hand():
    curve = loop_curve(HAND)
    assert [round(each.scale_factor_v_per_mm, 2) for each in curve.increments] == [
        4.8, 7.84, 7.92, 7.88, 7.84, 7.92, 7.88, 7.80, 7.96, 5.6,
    ]  # fmt: skip
    assert (curve.low_gap_mm, curve.high_gap_mm, curve.linear_range_mm) == (0.25, 2.25, 2.0)
    assert curve.best_gap_v == pytest.approx(-9.87)
    assert curve.largest_increment_error_percent == pytest.approx(100 * (7.96 / 7.87 - 1))
    # Rests V + 7.87*g from 0.25 mm: -0.0325, -0.025, -0.0375, -0.04, -0.0325, -0.045, -0.0475, -0.03,
    # -0.0525;
    # their middle is -0.03875, the largest distance 0.01375 V, which is 1.747 um.
    assert curve.largest_deviation_um == pytest.approx(1.747, abs=0.001)
    assert curve.passes
    assert curve.problems == ()


@given(
    st.lists(st.floats(0.05, 0.4), min_size=5, max_size=15),
    st.lists(st.floats(-0.3, 0.3), min_size=15, max_size=15),
)
def test_slope_is_that_of_scipy(steps, noise):
    gaps = [sum(steps[: n + 1]) for n in range(len(steps))]
    points = [(gap, -1 - 3 * gap + off) for gap, off in zip(gaps, noise, strict=False)]
    expected = stats.linregress([gap for gap, _ in points], [volts for _, volts in points])
    assert least_squares_scale_factor_v_per_mm(points) == pytest.approx(-expected.slope, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("percent", "passes"), [(4.9, True), (5.0, True), (5.1, False), (-5.0, True), (-5.1, False)]
)
def test_increments_at_their_limit(percent, passes):
    points = straight(7.87 * (1 + percent / 100))
    assert loop_curve(points, deviation_um=1e6).passes == passes


@pytest.mark.parametrize(("off_um", "whole"), [(49.0, True), (51.0, False)])
def test_deviation_at_its_limit(off_um, whole):
    """One reading off by twice the limit is shared by both sides of the line."""
    points = straight()
    gap, volts = points[5]
    points[5] = (gap, volts + 7.87 * off_um / 1000)
    curve = loop_curve(points, increment_error_percent=50)
    assert (curve.linear_range_mm == pytest.approx(2.5)) == whole


def test_another_alloy_is_told_by_its_slope():
    curve = loop_curve(straight(7.3))
    assert not curve.passes
    assert curve.families[0].name.startswith("austenitic")
    assert "austenitic" in curve.problems[-1]
    assert "-7.2 percent" in curve.problems[-1]
    lost = loop_curve(straight(6.0))
    assert lost.families == ()
    assert "cable length" in lost.problems[-1]
    assert target_families(7.87)[0].scale_factor_v_per_mm == 7.87


def test_a_short_range_fails_and_says_how_short():
    curve = loop_curve(HAND, range_mm=2.25)
    assert not curve.passes
    assert "2 mm" in curve.problems[0]
    assert "2.25 mm" in curve.problems[0]


def test_order_of_readings_does_not_matter():
    assert loop_curve(list(reversed(HAND))) == loop_curve(HAND)


@pytest.mark.parametrize(
    ("points", "match"),
    [
        (HAND[:4], "at least 5"),
        ([*HAND, (0.25, -2.1)], "once"),
        ([*HAND, (3.0, 4.0)], r"points\[12\]\.volts"),
        ([*HAND, (-0.1, -4.0)], r"points\[12\]\.gap_mm"),
        ([*HAND, (float("nan"), -4.0)], "finite"),
    ],
)
def test_readings_that_cannot_be(points, match):
    with pytest.raises(DomainError, match=match):
        loop_curve(points)


def test_gap_at_a_voltage():
    assert gap_at_voltage_mm(HAND, -9.87) == pytest.approx(1.25)
    assert gap_at_voltage_mm(HAND, -10.0) == pytest.approx(1.25 + 0.25 * 0.13 / 1.98)
    with pytest.raises(DomainError, match="reaches"):
        gap_at_voltage_mm(HAND, -21.0)


def test_as_left_against_as_found():
    left = [(gap, volts * 1.01) for gap, volts in HAND]
    found = compare_curves(HAND, left)
    assert found.scale_factor_percent == pytest.approx(1.0)
    assert found.gap_shift_mm < 0
    assert len(found.changes) == len(HAND)
    assert found.changes[5].volts == pytest.approx(-0.0987)
    with pytest.raises(DomainError, match="at least two of the gaps"):
        compare_curves(HAND, [(gap + 2.4, volts) for gap, volts in HAND])


def test_increments_are_one_fewer_than_readings():
    assert len(incremental_scale_factors(HAND)) == len(HAND) - 1
