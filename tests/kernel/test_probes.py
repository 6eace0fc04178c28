import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.errors import DomainError
from specapp.kernel.probes import (
    axial_gap_voltage_v,
    axial_offset_mm,
    displacement_mm,
    fault_margin_v,
    gap_voltage_v,
    pair_tip_spacing_mm,
    pulse_height_v,
    radial_excursion_mm,
)


def test_notch_of_1_5_mm_gives_11_8_v():
    """Computed; about 6 V is a safe trigger (common practice)."""
    assert pulse_height_v(1.5) == pytest.approx(11.8, rel=1e-3)
    assert pulse_height_v(0.77) > 6.0 > pulse_height_v(0.76)


def test_scale_factor_is_200_mv_per_mil_within_rounding():
    step_v = gap_voltage_v(0.0) - gap_voltage_v(0.0254)
    assert step_v == pytest.approx(0.200, rel=1e-3)


@given(st.floats(-1.0, 1.0))
def test_gap_voltage_there_and_back(moved_mm):
    assert displacement_mm(gap_voltage_v(moved_mm)) == pytest.approx(moved_mm, abs=1e-12)


@given(st.floats(0.001, 1.0))
def test_sign_of_the_gap_voltage(position_mm):
    opened, closed = axial_gap_voltage_v(position_mm, "active"), axial_gap_voltage_v(position_mm, "inactive")
    assert opened < -10.0 < closed
    assert opened + closed == pytest.approx(-20.0)
    assert axial_gap_voltage_v(-position_mm, "active") == pytest.approx(closed)


def test_unknown_direction_is_refused():
    with pytest.raises(DomainError, match="looks_toward"):
        axial_gap_voltage_v(0.5, "thrust")


@given(diameter_mm=st.floats(10.0, 500.0), minimum_mm=st.floats(1.0, 100.0))
def test_offset_makes_up_what_the_spacing_lacks(diameter_mm, minimum_mm):
    spacing = pair_tip_spacing_mm(diameter_mm)
    offset = axial_offset_mm(spacing, minimum_mm)
    if spacing >= minimum_mm:
        assert offset == 0.0
    else:
        assert (spacing**2 + offset**2) ** 0.5 == pytest.approx(minimum_mm)


@pytest.mark.parametrize(("spacing_mm", "offset_mm"), [(39.999, 0.2828), (40.0, 0.0), (40.001, 0.0)])
def test_offset_on_each_side_of_the_minimum(spacing_mm, offset_mm):
    assert axial_offset_mm(spacing_mm, 40.0) == pytest.approx(offset_mm, abs=1e-3)


def test_shaft_on_which_8_mm_tips_just_pass():
    """Computed: 40 mm between the tips need a shaft of 54.03 mm."""
    assert pair_tip_spacing_mm(54.02) < 40.0 < pair_tip_spacing_mm(54.03)


@pytest.mark.parametrize(
    ("gap_v", "margin_v"), [(-2.0, 0.0), (-18.0, 0.0), (-10.0, 8.0), (-2.5, 0.5), (-18.5, -0.5)]
)
def test_margin_to_the_fault_limits(gap_v, margin_v):
    assert fault_margin_v(gap_v, -2.0, -18.0) == pytest.approx(margin_v)


def test_swapped_fault_limits_are_refused():
    with pytest.raises(DomainError, match="far_limit_v"):
        fault_margin_v(-10.0, -18.0, -2.0)


def test_excursion_with_a_multiplied_trip():
    assert radial_excursion_mm(40.0, 0.09, multiplier=3.0) == pytest.approx(0.06 + 0.13 + 0.09)
    with pytest.raises(DomainError, match="multiplier"):
        radial_excursion_mm(40.0, 0.09, multiplier=0.99)
