"""Evaluation zones of casing vibration.

ISO 20816-3:2022, Mechanical vibration, measurement and evaluation of machine vibration, part 3; the zones
seen in secondary copies only, the rule for alarm and trip from memory.
"""

from itertools import pairwise

import pytest

from specapp.kernel.casing_vibration import alarm_from_baseline_rms_mm_s, zone, zone_boundaries_rms_mm_s

BOUNDARIES = {
    (1, "rigid"): (2.3, 4.5, 7.1),
    (1, "flexible"): (3.5, 7.1, 11.0),
    (2, "rigid"): (1.4, 2.8, 4.5),
    (2, "flexible"): (2.3, 4.5, 7.1),
}


@pytest.mark.parametrize(("group", "support"), BOUNDARIES)
def test_zone_boundaries(group, support):
    assert zone_boundaries_rms_mm_s(group, support) == BOUNDARIES[group, support]


@pytest.mark.parametrize(("velocity", "expected"), [(2.0, "A"), (3.0, "B"), (5.0, "C"), (8.0, "D")])
def test_housing_velocity_of_a_large_machine_on_a_rigid_support(velocity, expected):
    assert zone(velocity, 1, "rigid") == expected


@pytest.mark.parametrize(("group", "support"), BOUNDARIES)
def test_zone_on_each_side_of_every_boundary(group, support):
    for boundary, (better, worse) in zip(BOUNDARIES[group, support], pairwise("ABCD"), strict=True):
        assert zone(boundary, group, support) == better
        assert zone(boundary + 0.001, group, support) == worse


def test_alarm_from_a_baseline():
    """Baseline 0.8, B/C 4.5, C/D 7.1: alarm 1.925, never above 5.625; trip between 7.1 and 8.875."""
    _, bc, cd = zone_boundaries_rms_mm_s(1, "rigid")
    assert alarm_from_baseline_rms_mm_s(0.8, bc) == pytest.approx(1.925, rel=1e-3)
    assert alarm_from_baseline_rms_mm_s(20.0, bc) == pytest.approx(5.625, rel=1e-3)
    assert (cd, 1.25 * cd) == pytest.approx((7.1, 8.875), rel=1e-3)
