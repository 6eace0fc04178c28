"""Ignition temperatures and flammable limits.

IEC 60079-20-1:2010 and NFPA 497:2008 as carried by the open-source library chemicals, an independent copy:
every value of the gas table must equal it. It has no column of gas groups, so those stay from memory.
"""

import pytest
from chemicals.safety import LFL, UFL, LFL_methods, T_autoignition, T_autoignition_methods, UFL_methods

from specapp.catalogue.gases import all_gases, find, most_severe

IEC = "IEC 60079-20-1 (2010)"
NFPA = "NFPA 497 (2008)"
CARRIED = [gas for gas in all_gases() if gas.flammable and gas.value_source is None]


def ignition_c(cas, method):
    if method not in T_autoignition_methods(cas):
        return None
    return round(T_autoignition(cas, method=method) - 273.15, 2)


@pytest.mark.parametrize("gas", CARRIED, ids=lambda gas: gas.name)
def test_ignition_temperatures(gas):
    assert gas.ignition_iec_c == ignition_c(gas.cas, IEC)
    assert gas.ignition_nfpa_c == ignition_c(gas.cas, NFPA)


@pytest.mark.parametrize("gas", CARRIED, ids=lambda gas: gas.name)
def test_flammable_limits(gas):
    method = IEC if gas.limits_from == "IEC" else NFPA
    assert method in LFL_methods(CASRN=gas.cas)
    assert method in UFL_methods(CASRN=gas.cas)
    assert gas.lower_limit_percent == pytest.approx(LFL(CASRN=gas.cas, method=method) * 100, abs=1e-6)
    assert gas.upper_limit_percent == pytest.approx(UFL(CASRN=gas.cas, method=method) * 100, abs=1e-6)


def test_gases_that_do_not_burn_have_no_ignition_temperature():
    for gas in all_gases():
        if not gas.flammable and gas.cas:
            assert T_autoignition_methods(gas.cas) == []
            assert gas.ignition_c is None


@pytest.mark.parametrize(
    ("name", "zone_class"),
    [
        ("hydrogen", "T1"),
        ("propane", "T2"),
        ("ethylene", "T2"),
        ("hydrogen sulfide", "T3"),
        ("carbon disulfide", "T6"),
        ("acetaldehyde", "T4"),
    ],
)
def test_temperature_class_from_the_ignition_temperature(name, zone_class):
    assert most_severe([find(name)]).temperature_class == zone_class


def test_n_butane_depends_on_the_data_set():
    found = most_severe([find("n-butane")])
    assert (found.temperature_class_iec, found.temperature_class_nfpa) == ("T2", "T3")
    assert (found.temperature_class, found.data_set, found.ignition_temperature_c) == ("T3", "NFPA", 288.0)
    assert most_severe([find("n-butane")], "division").temperature_class == "T2A"
