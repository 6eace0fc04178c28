import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.bearings import defect_frequencies_hz
from specapp.kernel.errors import DomainError
from specapp.kernel.spectra import order_frequency_hz, sampling_rate_needed_hz, sideband_frequencies_hz
from specapp.kernel.speeds import (
    assembly_phases,
    blade_pass_frequency_hz,
    gear_mesh_frequency_hz,
    overspeed_events_per_turn,
    pinion_speed_rpm,
    pulse_rate_hz,
    pulse_width_us,
    shaft_surface_speed_m_s,
    speed_disagreement,
    tooth_repeat_frequency_hz,
)

speeds = st.floats(100.0, 200_000.0)
teeth = st.integers(10, 500)


@given(bull_gear_rpm=st.floats(500.0, 4000.0), bull_gear_teeth=teeth, pinion_teeth=teeth)
def test_both_wheels_see_one_mesh_frequency(bull_gear_rpm, bull_gear_teeth, pinion_teeth):
    pinion_rpm = pinion_speed_rpm(bull_gear_rpm, bull_gear_teeth, pinion_teeth)
    mesh_hz = gear_mesh_frequency_hz(bull_gear_rpm, bull_gear_teeth)
    assert gear_mesh_frequency_hz(pinion_rpm, pinion_teeth) == pytest.approx(mesh_hz)
    repeat_hz = tooth_repeat_frequency_hz(mesh_hz, bull_gear_teeth, pinion_teeth)
    meetings = bull_gear_teeth * pinion_teeth / assembly_phases(bull_gear_teeth, pinion_teeth)
    assert repeat_hz * meetings == pytest.approx(mesh_hz)


@given(speed_rpm=speeds, minimum_hz=st.floats(10.0, 1000.0))
def test_overspeed_events_are_enough_and_not_one_too_many(speed_rpm, minimum_hz):
    events = overspeed_events_per_turn(speed_rpm, minimum_hz)
    assert pulse_rate_hz(speed_rpm, events) >= minimum_hz * (1 - 2e-9)
    assert events == 1 or pulse_rate_hz(speed_rpm, events - 1) < minimum_hz


def test_overspeed_events_survive_a_rounded_division():
    assert overspeed_events_per_turn(300.0 * 60 / 7, 300.0) == 7


@pytest.mark.parametrize(("speed_rpm", "events"), [(17_999.9, 2), (18_000.0, 1), (18_000.1, 1), (9000.0, 2)])
def test_overspeed_events_on_each_side_of_one(speed_rpm, events):
    assert overspeed_events_per_turn(speed_rpm) == events


def test_notch_of_12_mm_on_a_60_mm_shaft_at_40_000_rpm():
    """Computed."""
    assert pulse_width_us(40_000.0, 60.0, 12.0) == pytest.approx(95.5, rel=1e-3)


def test_notch_wider_than_the_shaft_is_refused():
    with pytest.raises(DomainError, match="less than the circumference"):
        pulse_width_us(40_000.0, 3.0, 12.0)


@given(speed_rpm=speeds, diameter_mm=st.floats(10.0, 500.0))
def test_pulse_width_and_surface_speed_agree(speed_rpm, diameter_mm):
    width_mm = 5.0
    expected_us = width_mm / shaft_surface_speed_m_s(speed_rpm, diameter_mm) * 1000
    assert pulse_width_us(speed_rpm, diameter_mm, width_mm) == pytest.approx(expected_us)


@pytest.mark.parametrize("teeth_count", [0, -3, 23.5, True, float("nan"), "23"])
def test_teeth_are_whole_numbers(teeth_count):
    with pytest.raises(DomainError):
        gear_mesh_frequency_hz(1800.0, teeth_count)


@pytest.mark.parametrize("speed_rpm", [-1.0, float("nan"), float("inf")])
def test_speeds_are_finite_and_not_negative(speed_rpm):
    with pytest.raises(DomainError, match="speed_rpm"):
        blade_pass_frequency_hz(speed_rpm, 17)


def test_speed_disagreement_has_no_sign():
    assert speed_disagreement(999.0, 1000.0) == pytest.approx(1e-3)
    assert speed_disagreement(1001.0, 1000.0) == pytest.approx(1e-3)


def test_whirl_band_lies_below_running_speed():
    assert order_frequency_hz(20_000.0, 0.38) == pytest.approx(126.67, rel=1e-4)
    assert order_frequency_hz(20_000.0, 0.48) == pytest.approx(160.0)


def test_sidebands_stay_above_zero():
    assert sideband_frequencies_hz(50.0, 30.0, 2) == (20.0, 80.0, 110.0)


@pytest.mark.parametrize(("speed_rpm", "needed_hz"), [(18_000.0, 10_240.0), (60_000.0, 20_000.0)])
def test_sampling_by_the_band_or_by_the_turn(speed_rpm, needed_hz):
    assert sampling_rate_needed_hz(speed_rpm, 4000.0) == needed_hz
    with pytest.raises(DomainError, match="at least 2"):
        sampling_rate_needed_hz(speed_rpm, 4000.0, samples_per_cycle=1.99)


@given(
    speed_rpm=speeds,
    balls=st.integers(3, 40),
    ratio=st.floats(0.01, 0.9),
    contact_angle_deg=st.floats(0.0, 60.0),
)
def test_bearing_frequencies_hang_together(speed_rpm, balls, ratio, contact_angle_deg):
    found = defect_frequencies_hz(speed_rpm, balls, 100.0 * ratio, 100.0, contact_angle_deg)
    # Cage against the one ring and against the other make one turn of the shaft.
    assert found.bpfo + found.bpfi == pytest.approx(balls * speed_rpm / 60)
    assert found.bpfo == pytest.approx(balls * found.ftf)
    assert found.bpfo <= found.bpfi


def test_contact_angle_enters_the_rolling_element_once():
    """Spin by rolling contact: inner ring against cage, over the element's own diameter."""
    found = defect_frequencies_hz(6000.0, 12, 10.0, 50.0, 60.0)
    gamma = 0.2 * 0.5
    assert found.bsf == pytest.approx(100.0 / 2 * (50.0 / 10.0) * (1 - gamma) * (1 + gamma))


@pytest.mark.parametrize(
    ("ball_mm", "pitch_mm", "angle_deg"),
    [(50.0, 50.0, 0.0), (0.0, 50.0, 0.0), (10.0, 50.0, 90.0), (10.0, 50.0, -1.0)],
)
def test_impossible_bearings_are_refused(ball_mm, pitch_mm, angle_deg):
    with pytest.raises(DomainError):
        defect_frequencies_hz(1800.0, 9, ball_mm, pitch_mm, angle_deg)
