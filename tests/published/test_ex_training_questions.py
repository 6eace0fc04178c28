"""Markings judged as a training course judges them.

Public bank of training questions on explosion protection, which cites IEC 60079-0 and IEC 60079-14:
composite markings and what the brackets mean, gas groups (5.6.2), temperature class strictly below the
ignition temperature (5.6.3), ordinary ambient range of -20 to 40 degC, and the entity comparison. What it
does not cover here rests on the tables of zones and levels, from memory.
"""

import pytest

from specapp.kernel.area_classes import required_temperature_class
from specapp.kernel.hazardous_area import marking_problems, parse_marking
from specapp.kernel.intrinsic_safety import CircuitSource, FieldDevice, entity_problems

HYDROGEN_C = 560.0
ETHER_C = 160.0


def test_composite_marking():
    found = parse_marking("Ex db eb [ia Ga] IIC T4 Gb")
    assert found.protections == ("db", "eb")
    assert found.associated == ("ia",)
    assert (found.group, found.temperature_class, found.level) == ("IIC", "T4", "Gb")


def test_hydrogen_needs_more_than_group_iib():
    reasons = marking_problems(
        "Ex db IIB T4 Gb", level="Gb", gas_group="IIC", ignition_temperature_c=HYDROGEN_C
    )
    assert reasons == ["group IIB is marked; IIC is needed"]


@pytest.mark.parametrize("marking", ["Ex ia IIC T4 Ga", "Ex db IIB+H2 T4 Gb"])
def test_markings_that_serve_hydrogen_in_zone_1(marking):
    needed = "IIC" if "IIC" in marking else "IIB+H2"
    assert marking_problems(marking, level="Gb", gas_group=needed, ignition_temperature_c=HYDROGEN_C) == []


def test_ether_needs_t4():
    assert required_temperature_class(ETHER_C) == "T4"
    asked = {"level": "Gb", "gas_group": "IIB", "ignition_temperature_c": ETHER_C}
    assert marking_problems("Ex db IIB T4 Gb", **asked) == []
    assert marking_problems("Ex db IIB T3 Gb", **asked) == [
        "temperature class T3 permits 200 degC, not below the ignition temperature of 160 degC"
    ]


def test_increased_safety_for_zone_2_does_not_serve_zone_1():
    assert marking_problems("Ex ec IIC T3 Gc", level="Gb", gas_group="IIC") == [
        "level Gc is marked; Gb is needed"
    ]


def test_site_above_the_ordinary_ambient_range():
    asked = {"level": "Gb", "gas_group": "IIC", "ambient_c": 48.0}
    assert marking_problems("Ex ia IIC T4 Ga", **asked) == [
        "no ambient range is marked, so -20 to 40 degC holds; the site has 48 degC"
    ]
    assert marking_problems("Ex ia IIC T4 Ga -40 °C ≤ Ta ≤ +60 °C", **asked) == []


@pytest.mark.parametrize(("cable_m", "safe"), [(300.0, True), (533.0, True), (534.0, False)])
def test_capacitance_of_a_cable(cable_m, safe):
    """Co 100 nF, Ci 20 nF, 150 pF/m: 300 m make 65 nF."""
    source = CircuitSource(uo_v=28.0, io_ma=93.0, po_w=0.65, co_nf=100.0, lo_mh=10.0)
    device = FieldDevice(ui_v=30.0, ii_ma=100.0, pi_w=0.75, ci_nf=20.0, li_uh=0.0)
    found = entity_problems(source, device, cable_length_m=cable_m, cable_pf_per_m=150.0)
    assert (found == []) is safe


@pytest.mark.parametrize(("marking", "fits"), [("T2", False), ("T280°C", True), ("T3", True)])
def test_n_butane_by_the_lower_ignition_temperature(marking, fits):
    """NFPA 497 prints 288 degC where IEC 60079-20-1 prints 372 degC: T2 (300 degC) is then too hot."""
    asked = {"level": "Gc", "gas_group": "IIA"}
    found = marking_problems(f"Ex ec IIA {marking} Gc", ignition_temperature_c=288.0, **asked)
    assert (found == []) is fits
    assert marking_problems(f"Ex ec IIA {marking} Gc", ignition_temperature_c=372.0, **asked) == []
