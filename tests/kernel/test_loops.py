import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.cables import constant_current_frequency_limit_hz
from specapp.kernel.errors import DomainError
from specapp.kernel.loops import (
    cable_bandwidth_hz,
    conductor_area_mm2,
    conductor_resistance_ohm_per_km,
    conductor_sizes,
    current_ma,
    current_state,
    loop_voltage_v,
    reading_at_current,
)

readings = st.floats(-1e6, 1e6)


@given(value=readings, low=readings, width=st.floats(0.1, 1e6))
def test_current_there_and_back(value, low, width):
    back = reading_at_current(current_ma(value, low, low + width), low, low + width)
    assert back == pytest.approx(value, rel=1e-6, abs=1e-6 * max(abs(low), width))


@pytest.mark.parametrize(("value", "milliamps"), [(-1.0, 4.0), (0.0, 12.0), (1.0, 20.0), (1.1, 20.8)])
def test_axial_range(value, milliamps):
    assert current_ma(value, -1.0, 1.0) == pytest.approx(milliamps)


def test_inverted_range():
    assert current_ma(25.0, 100.0, 0.0) == pytest.approx(16.0)


def test_empty_range_is_refused():
    with pytest.raises(DomainError, match="reading at 4 mA"):
        current_ma(1.0, 5.0, 5.0)
    with pytest.raises(DomainError, match="reading at 4 mA"):
        reading_at_current(12.0, 5.0, 5.0)


@pytest.mark.parametrize("milliamps", [float("nan"), float("inf"), None, "4"])
def test_current_that_is_no_number_is_refused(milliamps):
    with pytest.raises(DomainError, match="milliamps"):
        current_state(milliamps)


def test_reversed_wires_read_as_a_low_fault():
    assert current_state(-12.0) == "fault_low"


@pytest.mark.parametrize("size", conductor_sizes())
def test_every_size_offered_is_read(size):
    assert conductor_resistance_ohm_per_km(size) > 0


@pytest.mark.parametrize(
    ("written", "same_as"),
    [("1.0 mm2", "1 mm2"), ("1.50mm²", "1.5 mm2"), ("18 AWG", "AWG 18"), ("awg18", "AWG 18")],
)
def test_other_spellings(written, same_as):
    assert conductor_resistance_ohm_per_km(written) == conductor_resistance_ohm_per_km(same_as)


@pytest.mark.parametrize(
    "size", ["", "2.5 mm2", "AWG 12", "1.0", "1 mm", None, 1.0, "1 mm2; drop", "٢ mm2", "-1 mm2"]
)
def test_other_sizes_are_refused_with_those_known(size):
    with pytest.raises(DomainError, match=r"0\.75 mm2"):
        conductor_resistance_ohm_per_km(size)


@pytest.mark.parametrize("temperature_c", [-100.1, 200.1, float("nan")])
def test_conductor_temperatures_are_limited(temperature_c):
    with pytest.raises(DomainError, match="temperature_c"):
        conductor_resistance_ohm_per_km("1 mm2", temperature_c)


def test_loop_that_cannot_carry_its_current_shows_the_other_sign():
    assert loop_voltage_v(24.0, 21.0, [1200.0]) == pytest.approx(-1.2)
    assert loop_voltage_v(-24.0, 21.0, [1200.0]) == pytest.approx(1.2)


def test_resistances_as_a_list_or_a_sum():
    assert loop_voltage_v(24.0, 20.0, [340.0, 250.0]) == loop_voltage_v(24.0, 20.0, 590.0)
    with pytest.raises(DomainError, match="resistances_ohm"):
        loop_voltage_v(24.0, 20.0, [340.0, -1.0])


@given(st.floats(1.0, 1e4), st.floats(10.0, 500.0), st.floats(1.0, 1000.0))
def test_twice_the_cable_halves_the_bandwidth(source_ohm, pf_per_m, length_m):
    once = cable_bandwidth_hz(source_ohm, pf_per_m, length_m)
    assert cable_bandwidth_hz(source_ohm, pf_per_m, 2 * length_m) == pytest.approx(once / 2)


def test_constant_current_sensor_on_30_nf():
    """Computed: 4 mA, 30 nF, 5 V peak."""
    assert constant_current_frequency_limit_hz(4.0, 30_000.0, 5.0) == pytest.approx(3183.0, rel=1e-3)
    with pytest.raises(DomainError, match="above 1 mA"):
        constant_current_frequency_limit_hz(1.0, 30_000.0, 5.0)


@pytest.mark.parametrize(
    ("size", "area_mm2"),
    [("0.5 mm2", 0.5), ("1.0 mm2", 1.0), ("AWG 16", 1.309), ("18 AWG", 0.823), ("AWG 20", 0.518)],
)
def test_cross_sections(size, area_mm2):
    """AWG by its definition, ASTM B258 (from memory)."""
    assert conductor_area_mm2(size) == pytest.approx(area_mm2, rel=1e-3)


def test_cross_section_of_no_size():
    with pytest.raises(DomainError):
        conductor_area_mm2("AWG 0")
