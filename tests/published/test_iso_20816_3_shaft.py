"""Evaluation zones of shaft vibration.

ISO 7919-3 and its successor ISO 20816-3:2022, Mechanical vibration, measurement and evaluation of machine
vibration, part 3; seen in secondary copies only. Boundaries 4800, 9000 and 13 200 over the square root of
the speed; a change of a quarter of B/C is significant. Tolerance 0.1 percent; half a digit where one
decimal is printed.
"""

from itertools import pairwise

import pytest

from specapp.kernel.shaft_vibration import (
    acceptance_limit_uncapped_pp_um,
    is_in_zone_speed_range,
    significant_change_pp_um,
    zone,
    zone_boundaries_pp_um,
)


def test_zones_and_significant_change_at_10_000_rpm():
    assert zone_boundaries_pp_um(10_000.0) == pytest.approx((48.0, 90.0, 132.0), rel=1e-3)
    assert significant_change_pp_um(10_000.0) == pytest.approx(22.5, rel=1e-3)


@pytest.mark.parametrize(
    ("speed_rpm", "boundaries_um"),
    [
        (1500.0, (123.9, 232.4, 340.8)),
        (3000.0, (87.6, 164.3, 241.0)),
        (12_000.0, (43.8, 82.2, 120.5)),
        (20_000.0, (33.9, 63.6, 93.3)),
        (30_000.0, (27.7, 52.0, 76.2)),
        (50_000.0, (21.5, 40.2, 59.0)),
    ],
)
def test_zone_boundaries(speed_rpm, boundaries_um):
    assert zone_boundaries_pp_um(speed_rpm) == pytest.approx(boundaries_um, abs=0.051)


@pytest.mark.parametrize("speed_rpm", [1500.0, 12_000.0, 30_000.0])
def test_zones_keep_one_ratio_to_the_acceptance_curve(speed_rpm):
    limit_um = acceptance_limit_uncapped_pp_um(speed_rpm)
    ratios = [boundary / limit_um for boundary in zone_boundaries_pp_um(speed_rpm)]
    assert ratios == pytest.approx([1.725, 3.235, 4.744], rel=1e-3)


@pytest.mark.parametrize(
    ("speed_rpm", "covered"),
    [(119.9, False), (120.0, True), (30_000.0, True), (30_000.1, False), (50_000.0, False)],
)
def test_speed_range_of_the_standard(speed_rpm, covered):
    assert is_in_zone_speed_range(speed_rpm) is covered


def test_zone_on_each_side_of_every_boundary():
    boundaries = zone_boundaries_pp_um(14_400.0)
    for boundary, (better, worse) in zip(boundaries, pairwise("ABCD"), strict=True):
        assert zone(boundary * 0.999, 14_400.0) == better
        assert zone(boundary, 14_400.0) == better
        assert zone(boundary * 1.001, 14_400.0) == worse
