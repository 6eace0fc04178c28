"""Closed-form limits of a loop, held against the loop and the low-pass that they invert."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.cables import cable_gain
from specapp.kernel.errors import DomainError, OutOfRange
from specapp.kernel.loop_limits import (
    hottest_conductor_c,
    largest_load_ohm,
    largest_loop_resistance_ohm,
    longest_cable_for_bandwidth_m,
    longest_cable_for_supply_m,
    thinnest_conductor,
)
from specapp.kernel.loops import (
    cable_bandwidth_hz,
    conductor_resistance_ohm_per_km,
    conductor_sizes,
    loop_resistance_ohm,
    loop_voltage_v,
)

SIZES = st.sampled_from(conductor_sizes())


def test_transmitter_loop_of_500_m_bears_207_ohm():
    """24 V, 21 mA, 340 ohm, 500 m of 0.75 mm2, 12 V at the transmitter: 250 ohm is too much, 100 is not."""
    cable_ohm = loop_resistance_ohm(500.0, "0.75 mm2")
    largest = largest_load_ohm(24.0, 21.0, 12.0, [340.0, cable_ohm])
    assert largest == pytest.approx(206.93, abs=0.01)
    assert loop_voltage_v(24.0, 21.0, [340.0, cable_ohm, largest]) == pytest.approx(12.0)


@given(
    supply_v=st.floats(18, 30),
    current_ma=st.floats(3, 22),
    minimum_v=st.floats(8, 17.5),
    interface_ohm=st.floats(0, 20),
    size=SIZES,
    temperature_c=st.floats(-20, 80),
)
def test_longest_cable_leaves_the_least_voltage(
    supply_v, current_ma, minimum_v, interface_ohm, size, temperature_c
):
    length_m = longest_cable_for_supply_m(
        supply_v, current_ma, minimum_v, [interface_ohm], size, temperature_c
    )
    cable_ohm = loop_resistance_ohm(length_m, size, temperature_c)
    left_v = loop_voltage_v(supply_v, current_ma, [interface_ohm, cable_ohm])
    assert left_v == pytest.approx(minimum_v, rel=1e-9)


@given(length_m=st.floats(1, 3000), size=SIZES, temperature_c=st.floats(-50, 190))
def test_hottest_conductor_is_the_temperature_of_its_resistance(length_m, size, temperature_c):
    reached = hottest_conductor_c(loop_resistance_ohm(length_m, size, temperature_c), length_m, size)
    assert reached == pytest.approx(temperature_c, abs=1e-6)


@given(
    source_ohm=st.floats(0, 1000),
    pf_per_m=st.floats(50, 300),
    frequency_hz=st.floats(10, 30_000),
    size=SIZES,
)
def test_longest_cable_takes_five_percent_of_the_signal(source_ohm, pf_per_m, frequency_hz, size):
    length_m = longest_cable_for_bandwidth_m(source_ohm, pf_per_m, frequency_hz, size)
    in_series = source_ohm + loop_resistance_ohm(length_m, size) / 2
    gain = cable_gain(frequency_hz, cable_bandwidth_hz(in_series, pf_per_m, length_m))
    assert gain == pytest.approx(0.95, rel=1e-9)


@pytest.mark.parametrize(
    ("allowed_ohm", "size"), [(24.2, "0.75 mm2"), (24.6, "0.75 mm2"), (18.2, "1 mm2"), (12.2, "1.5 mm2")]
)
def test_thinnest_conductor_is_within_and_the_next_is_not(allowed_ohm, size):
    found = thinnest_conductor(allowed_ohm, 490.0)
    within = {each for each in conductor_sizes() if loop_resistance_ohm(490.0, each) <= allowed_ohm}
    assert found in within
    assert conductor_resistance_ohm_per_km(found) == max(map(conductor_resistance_ohm_per_km, within))
    assert found == size


def test_no_conductor_is_thick_enough():
    with pytest.raises(OutOfRange, match=r"1\.5 mm2"):
        thinnest_conductor(1.0, 500.0)


@pytest.mark.parametrize(("minimum_v", "ohm"), [(24.0, 0.0), (23.9, 4.76)])
def test_supply_that_gives_just_enough(minimum_v, ohm):
    assert largest_loop_resistance_ohm(24.0, 21.0, minimum_v) == pytest.approx(ohm, abs=0.01)


def test_supply_that_gives_too_little_or_no_room_for_the_rest():
    with pytest.raises(OutOfRange, match="minimum_v"):
        largest_loop_resistance_ohm(24.0, 21.0, 24.1)
    with pytest.raises(OutOfRange, match="other_resistances_ohm"):
        largest_load_ohm(24.0, 21.0, 12.0, [571.5])


@pytest.mark.parametrize("current_ma", [0.0, -1.0, float("nan"), float("inf")])
def test_currents_that_cannot_be(current_ma):
    with pytest.raises(DomainError, match="current_ma"):
        largest_loop_resistance_ohm(24.0, current_ma, 12.0)
