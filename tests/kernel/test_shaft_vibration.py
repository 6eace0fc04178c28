import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.errors import DomainError
from specapp.kernel.shaft_vibration import (
    acceptance_limit_pp_um,
    runout_allowance_pp_um,
    significant_change_pp_um,
    zone,
    zone_boundaries_pp_um,
)
from specapp.kernel.sinusoids import acceleration_peak_g, displacement_pp_um, velocity_rms_mm_s

speeds = st.floats(100.0, 200_000.0)


@given(slower=speeds, faster=speeds)
def test_the_limit_never_rises_with_speed(slower, faster):
    slower, faster = sorted((slower, faster))
    assert acceptance_limit_pp_um(faster) <= acceptance_limit_pp_um(slower) <= 25.4


def test_the_limit_is_continuous_where_the_cap_ends():
    below, at, above = (acceptance_limit_pp_um(speed) for speed in (11_999.999, 12_000.0, 12_000.001))
    assert below == at == 25.4
    assert above == pytest.approx(25.4, rel=1e-6)
    assert above < 25.4


@pytest.mark.parametrize(("cap_um", "limit_um"), [(38.1, 38.1), (50.8, 50.8), (60.0, 50.8)])
def test_other_caps(cap_um, limit_um):
    assert acceptance_limit_pp_um(3000.0, cap_um) == pytest.approx(limit_um)


@pytest.mark.parametrize("speed_rpm", [0.0, -1.0, float("nan"), "fast"])
def test_impossible_speeds_are_refused(speed_rpm):
    for calculation in (acceptance_limit_pp_um, zone_boundaries_pp_um, significant_change_pp_um):
        with pytest.raises(DomainError, match="speed_rpm"):
            calculation(speed_rpm)


def test_radial_alarm_and_trip_of_a_fast_pinion():
    """Computed: 20 062 rpm, 60 mm journal with 1.5 per mille; the smallest candidate of each governs."""
    limit = acceptance_limit_pp_um(20_062.0)
    _, bc, cd = zone_boundaries_pp_um(20_062.0)
    clearance_um = 60.0 * 1.5
    alarm = {"multiple": 1.5 * limit, "clearance": 0.4 * clearance_um, "zone": 1.25 * bc}
    trip = {"multiple": 2.0 * limit, "clearance": 0.6 * clearance_um, "zone": 1.25 * cd}
    assert alarm == pytest.approx({"multiple": 29.5, "clearance": 36.0, "zone": 79.4}, rel=2e-3)
    assert trip == pytest.approx({"multiple": 39.3, "clearance": 54.0, "zone": 116.5}, rel=2e-3)
    assert (math.floor(min(alarm.values())), math.floor(min(trip.values()))) == (29, 39)


@pytest.mark.parametrize(
    ("limit_um", "allowed_um"), [(25.4, 6.35), (25.39, 6.35), (25.44, 6.36), (19.64, 6.35)]
)
def test_runout_on_each_side_of_its_floor(limit_um, allowed_um):
    assert runout_allowance_pp_um(limit_um) == pytest.approx(allowed_um)


def test_negative_vibration_is_refused():
    with pytest.raises(DomainError, match="displacement_pp_um"):
        zone(-0.1, 10_000.0)


@given(displacement=st.floats(0.001, 1000.0), frequency_hz=st.floats(1.0, 30_000.0))
def test_sinusoid_there_and_back(displacement, frequency_hz):
    velocity = velocity_rms_mm_s(displacement, frequency_hz)
    assert displacement_pp_um(velocity, frequency_hz) == pytest.approx(displacement)
    peak_m_s2 = velocity * math.sqrt(2) / 1000 * 2 * math.pi * frequency_hz
    assert acceleration_peak_g(displacement, frequency_hz) * 9.80665 == pytest.approx(peak_m_s2)
