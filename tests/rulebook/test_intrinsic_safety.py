"""The entity comparison of each kind of loop: no pass without every figure, every broken line named.

Source: IEC 60079-14, 16.2.4.3, and the public training questions of tests/published (T35); the rest computed.
"""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specapp.domain.proposal import Proposal
from specapp.rulebook.entity_comparison import entity_comparison
from specapp.rulebook.loop_types import facts_of_proposal, loop_types
from specapp.rulebook.proposing import propose_document
from tests.rulebook.proposed import MINIMAL

ISOLATOR = {"uo_v": 28, "io_ma": 93, "po_w": 0.65, "co_nf": 83, "lo_mh": 4.2}
DEVICE = {"ui_v": 28, "ii_ma": 140, "pi_w": 0.84, "ci_nf": 5, "li_uh": 10}
ZONE_1 = {"zone": 1, "gas_group": "IIC", "temperature_class": "T4"}


def proposal_of(isolator: Any = None, device: Any = None, run: str = "300 m", **changed: Any) -> Proposal:
    devices = {
        "isolator": ISOLATOR if isolator is None else isolator,
        "oscillator_demodulator": DEVICE if device is None else device,
    }
    facts = {"hazardous_area": ZONE_1, "installation": {"cable_run": run}, "devices": devices}
    return propose_document({**MINIMAL, **facts, **changed})


def entity(proposal: Proposal, title: str = "Oscillator-demodulator"):
    """Return the check of one kind of loop."""
    return next(
        check
        for check in proposal.checks
        if check.check == "intrinsic_safety.entity" and check.text.startswith(title)
    )


def compared(proposal: Proposal):
    criteria = {row["key"]: row["value"] for row in proposal.criteria}
    group = str(proposal.machine["hazardous_area"]["gas_group"])
    return entity_comparison(loop_types(proposal.points)[0], facts_of_proposal(proposal), group, criteria)


@pytest.mark.parametrize(("run", "result"), [("390 m", "pass"), ("390.1 m", "fail")])
def test_each_side_of_the_longest_cable(run, result):
    check = entity(proposal_of(run=run))
    assert check.result == result
    assert check.limit is not None
    assert check.limit.value == pytest.approx(390.0)
    if result == "fail":
        assert check.remedies[0] == "A cable of at most 390 m, by capacitance."


def test_training_question_on_capacitance():
    """Co 100 nF, Ci 20 nF, 300 m at 150 pF/m: 65 nF, safe."""
    criteria = {"cable.capacitance": {"value": 150, "reason": "data sheet of the cable"}}
    isolator, device = {**ISOLATOR, "co_nf": 100}, {**DEVICE, "ci_nf": 20}
    found = proposal_of(isolator, device, criteria=criteria)
    line = next(each for each in compared(found).lines if each.name == "capacitance")
    assert (line.left, line.right, line.holds) == (pytest.approx(65.0), 100.0, True)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from([*ISOLATOR, *DEVICE]), min_size=1, max_size=6, unique=True),
)
def test_nothing_passes_with_a_figure_missing(left_out):
    isolator = {key: value for key, value in ISOLATOR.items() if key not in left_out}
    device = {key: value for key, value in DEVICE.items() if key not in left_out}
    proposal = proposal_of(isolator, device)
    check = entity(proposal)
    assert check.result == "not_evaluated"
    assert check.needs is not None
    assert check.needs.rpartition(".")[2] in left_out
    assert any(each.key == "intrinsic_safety/devices" for each in proposal.open_points)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"ui_v": 27.9}, "Uo 28 V is above Ui 27.9 V"),
        ({"ii_ma": 92.9}, "Io 93 mA is above Ii 92.9 mA"),
        ({"pi_w": 0.64}, "Po 0.65 W is above Pi 0.64 W"),
        ({"ci_nf": 83.5}, "Ci 83.5 nF is above Co 83 nF"),
    ],
)
def test_every_broken_line_is_named(change, said):
    check = entity(proposal_of(device={**DEVICE, **change}))
    assert check.result == "fail"
    assert said in check.text


def test_a_broken_line_fails_though_others_are_missing():
    check = entity(proposal_of({"uo_v": 28}, {"ui_v": 24}))
    assert check.result == "fail"
    assert "Uo 28 V is above Ui 24 V" in check.text


def test_both_halved_where_the_device_stores_both():
    found = compared(proposal_of(device={**DEVICE, "li_uh": 43}, run="100 m"))
    assert found.halved is True
    assert found.longest is not None
    # (41.5 - 5) nF at 200 pF/m
    assert found.longest.length_m == pytest.approx(182.5)


def test_ratio_of_the_cable_frees_its_length_from_the_inductance():
    tight = {**ISOLATOR, "lo_mh": 1.2, "co_nf": 400}
    assert entity(proposal_of(tight, run="1300 m")).result == "fail"
    with_ratio = {**tight, "lo_ro_uh_per_ohm": 54}
    assert entity(proposal_of(with_ratio, run="1300 m")).result == "pass"
    assert entity(proposal_of({**tight, "lo_ro_uh_per_ohm": 29.9}, run="1300 m")).result == "fail"


def test_a_resistance_element_needs_only_the_isolator_figures():
    check = entity(proposal_of(device={}), "Resistance thermometer")
    assert check.result == "pass"
    hot = proposal_of({**ISOLATOR, "po_w": 1.26}, device={}, ambient={"maximum": "45 degC"})
    assert "Po 1.26 W is above Pi 1.25 W" in entity(hot, "Resistance thermometer").text


@pytest.mark.parametrize(
    ("temperature_class", "result"), [("T3", "pass"), ("T4", "pass"), ("T5", "not_evaluated")]
)
def test_power_of_simple_apparatus_is_known_to_t4(temperature_class, result):
    area = {**ZONE_1, "temperature_class": temperature_class}
    check = entity(proposal_of(hazardous_area=area), "Resistance thermometer")
    assert check.result == result
    if result == "not_evaluated":
        assert check.needs == "devices.resistance_thermometer.pi_w"


def test_a_letter_of_the_division_system_takes_its_zone_group():
    area = {"division": 1, "gas_group": "B", "temperature_class": "T4"}
    assert entity(proposal_of(hazardous_area=area)).result == "pass"


def test_fallback_cable_is_an_open_point_until_its_data_are_told():
    def keys(proposal: Proposal) -> set[str]:
        return {each.key for each in proposal.open_points}

    assert "intrinsic_safety/cable" in keys(proposal_of())
    told = {
        "cable.capacitance": {"value": 120, "reason": "data sheet"},
        "cable.inductance": {"value": 0.7, "reason": "data sheet"},
    }
    assert "intrinsic_safety/cable" not in keys(proposal_of(criteria=told))


def test_no_comparison_where_nothing_is_intrinsically_safe():
    area = {"zone": 2, "gas_group": "IIB", "temperature_class": "T3"}
    found = proposal_of(hazardous_area=area)
    assert not [check for check in found.checks if check.check == "intrinsic_safety.entity"]
