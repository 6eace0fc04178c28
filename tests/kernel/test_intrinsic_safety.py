"""Computed from the formulas of IEC 60079-11 and IEC 60079-14 (from memory and secondary copies)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.errors import DomainError, OutOfRange
from specapp.kernel.intrinsic_safety import (
    CircuitSource,
    FieldDevice,
    entity_problems,
    inductance_from_energy_mh,
    inductance_per_resistance_uh_per_ohm,
    linear_source,
    longest_cable_m,
    weakest_level,
)

SOURCE = CircuitSource(uo_v=28.0, io_ma=93.0, po_w=0.65, co_nf=83.0, lo_mh=4.2)
DEVICE = FieldDevice(ui_v=28.0, ii_ma=93.0, pi_w=0.65, ci_nf=5.0, li_uh=10.0)


def test_28_v_300_ohm_source():
    found = linear_source(28.0, 300.0)
    assert found.io_ma == pytest.approx(93.3, rel=1e-3)
    assert found.po_w == pytest.approx(0.653, rel=1e-3)
    assert inductance_from_energy_mh(found.io_ma) == pytest.approx(4.08, rel=1e-3)


@pytest.mark.parametrize(
    ("gas_group", "ratio"), [("IIC", 54.4), ("IIB+H2", 54.4), ("IIB", 217.7), ("IIA", 435.4)]
)
def test_inductance_to_resistance_of_the_cable(gas_group, ratio):
    assert inductance_per_resistance_uh_per_ohm(28.0, 300.0, gas_group) == pytest.approx(ratio, rel=1e-3)


def test_inductance_of_the_device_takes_from_the_cable_until_nothing_is_left():
    bare = inductance_per_resistance_uh_per_ohm(28.0, 300.0)
    largest_li_uh = 64 * 40e-6 * 300**2 / (72 * 28**2) * 1e6
    at_limit = inductance_per_resistance_uh_per_ohm(28.0, 300.0, li_uh=largest_li_uh * (1 - 1e-12))
    assert at_limit == pytest.approx(bare / 2, rel=1e-4)
    with pytest.raises(OutOfRange, match="li_uh"):
        inductance_per_resistance_uh_per_ohm(28.0, 300.0, li_uh=largest_li_uh * 1.001)


def test_longest_cable_by_capacitance():
    found = longest_cable_m(co_nf=83.0, ci_nf=5.0, lo_mh=4.2, li_uh=10.0)
    assert (found.length_m, found.governed_by, found.halved) == (pytest.approx(390.0), "capacitance", False)


def test_longest_cable_by_inductance():
    found = longest_cable_m(co_nf=1000.0, ci_nf=5.0, lo_mh=4.2, li_uh=10.0)
    assert (found.length_m, found.governed_by) == (pytest.approx(4190.0), "inductance")


@pytest.mark.parametrize(
    ("ci_nf", "li_uh", "halved"),
    [(1.0, 42.0, False), (1.1, 42.0, False), (1.0, 42.1, False), (1.1, 42.1, True), (50.0, 0.0, False)],
)
def test_halving_needs_more_than_one_percent_of_both(ci_nf, li_uh, halved):
    found = longest_cable_m(co_nf=100.0, ci_nf=ci_nf, lo_mh=4.2, li_uh=li_uh)
    assert found.halved is halved
    assert (found.co_nf, found.lo_mh) == ((50.0, 2.1) if halved else (100.0, 4.2))


@pytest.mark.parametrize(
    ("gas_group", "co_nf", "used_nf"),
    [
        ("IIC", 1190.0, 595.0),
        ("IIC", 1210.0, 600.0),
        ("IIB+H2", 5000.0, 600.0),
        ("IIB", 1990.0, 995.0),
        ("IIB", 2010.0, 1000.0),
        ("IIA", 5000.0, 1000.0),
        ("I", 5000.0, 1000.0),
    ],
)
def test_cap_of_the_halved_capacitance(gas_group, co_nf, used_nf):
    found = longest_cable_m(co_nf=co_nf, ci_nf=100.0, lo_mh=1.0, li_uh=100.0, gas_group=gas_group)
    assert found.co_nf == pytest.approx(used_nf)


def test_no_cap_without_halving():
    assert longest_cable_m(co_nf=5000.0, ci_nf=0.0, lo_mh=50.0, li_uh=0.0).co_nf == 5000.0


@pytest.mark.parametrize(("ci_nf", "fits"), [(83.0, True), (83.1, False)])
def test_device_that_takes_all_or_more(ci_nf, fits):
    if fits:
        assert longest_cable_m(co_nf=83.0, ci_nf=ci_nf, lo_mh=4.2, li_uh=0.0).length_m == 0.0
    else:
        with pytest.raises(OutOfRange, match="ci_nf"):
            longest_cable_m(co_nf=83.0, ci_nf=ci_nf, lo_mh=4.2, li_uh=0.0)


def test_device_with_more_inductance_than_the_source_permits():
    with pytest.raises(OutOfRange, match="li_uh"):
        longest_cable_m(co_nf=83.0, ci_nf=0.0, lo_mh=4.2, li_uh=4200.1)


@pytest.mark.parametrize("gas_group", ["IIIC", "C", "", None])
def test_unknown_groups_are_refused(gas_group):
    with pytest.raises(DomainError, match="gas_group"):
        longest_cable_m(co_nf=83.0, ci_nf=5.0, lo_mh=4.2, li_uh=10.0, gas_group=gas_group)


@given(
    co_nf=st.floats(10.0, 5000.0),
    ci_share=st.floats(0.0, 0.4),
    lo_mh=st.floats(0.1, 100.0),
    li_share=st.floats(0.0, 0.4),
    gas_group=st.sampled_from(["IIA", "IIB", "IIC"]),
)
def test_longest_cable_is_safe_and_a_longer_one_is_not(co_nf, ci_share, lo_mh, li_share, gas_group):
    ci_nf, li_uh = min(co_nf * ci_share, 500.0), lo_mh * 1000 * li_share
    found = longest_cable_m(co_nf=co_nf, ci_nf=ci_nf, lo_mh=lo_mh, li_uh=li_uh, gas_group=gas_group)
    source = CircuitSource(28.0, 93.0, 0.65, co_nf, lo_mh)
    device = FieldDevice(28.0, 93.0, 0.65, ci_nf, li_uh)
    asked = {"gas_group": gas_group}
    assert entity_problems(source, device, cable_length_m=found.length_m * (1 - 1e-9), **asked) == []
    assert entity_problems(source, device, cable_length_m=found.length_m * 1.001 + 0.001, **asked) != []


@pytest.mark.parametrize(
    ("change", "begins"),
    [({"ui_v": 27.9}, "voltage"), ({"ii_ma": 92.9}, "current"), ({"pi_w": 0.64}, "power"), ({}, None)],
)
def test_entity_limits_one_by_one(change, begins):
    limits = {name: getattr(DEVICE, name) for name in ("ui_v", "ii_ma", "pi_w", "ci_nf", "li_uh")}
    found = entity_problems(SOURCE, FieldDevice(**{**limits, **change}), cable_length_m=300.0)
    assert [reason.split()[0] for reason in found] == ([begins] if begins else [])


def test_every_reason_is_given_at_once():
    weak = FieldDevice(20.0, 50.0, 0.3, 90.0, 5000.0)
    assert len(entity_problems(SOURCE, weak, cable_length_m=100.0)) == 5


@pytest.mark.parametrize(
    ("levels", "weakest"), [(("Ga",), "Ga"), (("Ga", "Gb"), "Gb"), (("Gc", "Ga", "Gb"), "Gc")]
)
def test_circuit_takes_its_weakest_level(levels, weakest):
    assert weakest_level(*levels) == weakest


@pytest.mark.parametrize("levels", [(), ("Ga", "Gd")])
def test_levels_must_be_known(levels):
    with pytest.raises(DomainError):
        weakest_level(*levels)
