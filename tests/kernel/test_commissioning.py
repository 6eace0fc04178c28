"""Bump test, loops and relay times: each side of every limit."""

import pytest

from specapp.kernel.commissioning import bump_test, loop_check, relay_time
from specapp.kernel.errors import DomainError
from specapp.kernel.probes import axial_gap_voltage_v


@pytest.mark.parametrize("side", ["active", "inactive"])
def test_polarity_is_that_of_the_gap_formula(side):
    active, inactive = axial_gap_voltage_v(0.175, side), axial_gap_voltage_v(-0.175, side)
    found = bump_test(active, inactive, side, expected_float_mm=0.35)
    assert found.passes
    assert found.looks_toward == side
    assert found.float_mm == pytest.approx(0.35)
    assert found.mid_v == pytest.approx(-10.0)
    other = "inactive" if side == "active" else "active"
    swapped = bump_test(active, inactive, other, expected_float_mm=0.35)
    assert not swapped.passes
    assert "swapped" in swapped.problems[0]


@pytest.mark.parametrize(("float_mm", "passes"), [(0.40, True), (0.401, False), (0.30, True), (0.299, False)])
def test_float_within_its_tolerance(float_mm, passes):
    found = bump_test(-10 - 7.87 * float_mm, -10.0, "active", expected_float_mm=0.35)
    assert found.passes == passes


def test_no_movement_is_no_test():
    with pytest.raises(DomainError, match="inactive_stop_v"):
        bump_test(-10.0, -10.0, "active")


@pytest.mark.parametrize(
    ("ma", "passes"), [(12.0, True), (12.16, True), (12.17, False), (11.84, True), (11.83, False)]
)
def test_loops_within_one_percent(ma, passes):
    assert loop_check(ma, 50.0, 0.0, 100.0).passes == passes


@pytest.mark.parametrize(("seconds", "passes"), [(0.94, False), (0.95, True), (1.1, True), (1.11, False)])
def test_relays_neither_early_nor_late(seconds, passes):
    assert relay_time(seconds, 1.0).passes == passes


def test_without_delay_nothing_is_early():
    assert relay_time(0.0, 0.0).passes
