"""Resistance of conductors.

IEC 60228, Conductors of insulated cables, class 1 and 2, plain copper, as reproduced on public technical
pages; HyperPhysics, Georgia State University, table of American wire gauge (ohm per 1000 ft, solid
copper). The gauge is also held against its definition: diameter 0.127 mm * 92**((36 - n)/39), annealed
copper of 0.017241 ohm mm2/m.
"""

from math import pi

import pytest

from specapp.kernel.loops import conductor_resistance_ohm_per_km, loop_resistance_ohm, loop_voltage_v


@pytest.mark.parametrize(
    ("size", "ohm_per_km"), [("0.5 mm2", 36.0), ("0.75 mm2", 24.5), ("1.0 mm2", 18.1), ("1.5 mm2", 12.1)]
)
def test_iec_60228_plain_copper(size, ohm_per_km):
    assert conductor_resistance_ohm_per_km(size) == ohm_per_km


@pytest.mark.parametrize(("gauge", "ohm_per_1000_ft"), [(16, 4.016), (18, 6.385), (20, 10.15)])
def test_american_wire_gauge(gauge, ohm_per_1000_ft):
    found = conductor_resistance_ohm_per_km(f"AWG {gauge}")
    assert found == pytest.approx(ohm_per_1000_ft / 0.3048, rel=1e-3)
    diameter_mm = 0.127 * 92 ** ((36 - gauge) / 39)
    assert found == pytest.approx(17.241 / (pi / 4 * diameter_mm**2), rel=2e-3)


def test_warm_conductor():
    assert conductor_resistance_ohm_per_km("1 mm2", 70.0) == pytest.approx(21.66, rel=1e-3)


def test_negative_supply_through_a_barrier_and_300_m():
    """-23 V, 10 mA, barrier of 340 ohm, 300 m of 1.0 mm2: 10.86 ohm there and back, 19.49 V left."""
    cable_ohm = loop_resistance_ohm(300.0, "1.0 mm2")
    assert cable_ohm == pytest.approx(10.86, rel=1e-3)
    assert loop_voltage_v(23.0, 10.0, [340.0, cable_ohm]) == pytest.approx(19.49, rel=1e-3)
    assert loop_voltage_v(-23.0, 10.0, [340.0, cable_ohm]) == pytest.approx(-19.49, rel=1e-3)


@pytest.mark.parametrize(("load_ohm", "left_v"), [(250.0, 11.10), (100.0, 14.25)])
def test_transmitter_loop_at_fault_current(load_ohm, left_v):
    """24 V, 21 mA, barrier of 340 ohm, 500 m of 0.75 mm2: a transmitter for 12 V starves on 250 ohm."""
    resistances = [340.0, loop_resistance_ohm(500.0, "0.75 mm2"), load_ohm]
    assert loop_voltage_v(24.0, 21.0, resistances) == pytest.approx(left_v, rel=1e-3)
