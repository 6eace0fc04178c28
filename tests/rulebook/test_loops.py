"""Supply budgets: told figures decide, missing ones leave the loop open, and the limits turn the answer.

Source: Ohm's law; conductors of IEC 60228 and the AWG table as in tests/published/test_conductor_tables.py.
"""

from __future__ import annotations

from typing import Any

import pytest

from specapp.criteria.loader import load_defaults
from specapp.domain.reading import read_machine
from specapp.kernel.loop_limits import longest_cable_for_supply_m
from specapp.rulebook.loop_budget import supply_budget
from specapp.rulebook.loop_types import LoopFacts, facts_of_machine, facts_of_proposal, loop_types
from specapp.rulebook.proposing import propose_document, reading_context
from tests.rulebook.proposed import MINIMAL

TOLD: dict[str, Any] = {
    "installation": {
        "cable_run": "500 m",
        "conductor": "0.75 mm2",
        "interface_resistance": "340 ohm",
        "supply_voltage": "24 V",
        "loop_load": "250 ohm",
    },
    "ambient": {"maximum": "20 degC"},
    "devices": {"transmitter": {"minimum_voltage_v": 12}},
    "service_class": "packaged_air",
}


def budget_of(**changed: Any):
    """Return the budget of the first kind of loop and the check that the rule made of it."""
    proposal = propose_document({**MINIMAL, **TOLD, **changed})
    criteria = {row["key"]: row["value"] for row in proposal.criteria}
    loop = loop_types(proposal.points)[0]
    isolated = proposal.points[0].installation.protection in ("ia", "ic")
    budget = supply_budget(loop, facts_of_proposal(proposal), criteria, isolated=isolated)
    check = next(each for each in proposal.checks if each.check == "loop.supply")
    return budget, check


def with_installation(**changed: Any) -> dict[str, Any]:
    return {"installation": {**TOLD["installation"], **changed}}


def test_what_would_turn_a_loop_short_of_voltage():
    budget, check = budget_of()
    limits = budget.limits
    assert budget.works is False
    assert budget.voltage_v == pytest.approx(11.10, abs=0.005)
    # The interface and the load alone take more than the cable may: no cable is short enough.
    assert limits.longest_cable_m is None
    assert limits.largest_load_ohm == pytest.approx(206.93, abs=0.01)
    assert "A load of at most 207 ohm." in check.remedies


@pytest.mark.parametrize("side", [-0.01, 0.01])
def test_each_side_of_the_largest_load(side):
    largest = budget_of()[0].limits.largest_load_ohm
    budget, check = budget_of(**with_installation(loop_load=f"{largest + side} ohm"))
    assert budget.works is (side < 0)
    assert check.result == ("pass" if side < 0 else "fail")


@pytest.mark.parametrize("side", [-0.1, 0.1])
def test_each_side_of_the_longest_cable(side):
    told = with_installation(loop_load="100 ohm")
    longest = budget_of(**told)[0].limits.longest_cable_m
    assert longest == pytest.approx(longest_cable_for_supply_m(24, 21, 12, [340, 100], "0.75 mm2"))
    told["installation"]["cable_run"] = f"{longest + side} m"
    assert budget_of(**told)[0].works is (side < 0)


def test_conductor_and_temperature_turn_a_long_cable():
    told = with_installation(loop_load="200 ohm", cable_run="700 m", conductor="0.5 mm2")
    budget, check = budget_of(**told)
    assert budget.works is False
    assert budget.limits.thinnest_conductor == "AWG 18"
    assert "Conductors of at least AWG 18." in check.remedies
    told["installation"]["conductor"] = "AWG 18"
    assert budget_of(**told)[0].works is True
    hottest = budget_of(**told)[0].limits.hottest_conductor_c
    for side, works in ((-0.1, True), (0.1, False)):
        changed = {**told, "ambient": {"maximum": f"{hottest + side} degC"}}
        assert budget_of(**changed)[0].works is works


@pytest.mark.parametrize(
    ("left_out", "needs"),
    [
        ("cable_run", "installation.cable_run"),
        ("conductor", "installation.conductor"),
        ("supply_voltage", "installation.supply_voltage"),
        ("loop_load", "installation.loop_load"),
    ],
)
def test_a_missing_fact_leaves_the_loop_open(left_out, needs):
    installation = {key: value for key, value in TOLD["installation"].items() if key != left_out}
    budget, check = budget_of(installation=installation)
    assert budget.works is None
    assert (check.result, check.needs) == ("not_evaluated", needs)


def test_placeholders_never_pass_but_illustrate():
    budget, check = budget_of(devices={})
    assert check.result == "not_evaluated"
    assert budget.minimum.origin == "placeholder"
    assert budget.voltage_v is not None


def test_no_interface_where_nothing_stands_in_the_loop():
    installation = {key: v for key, v in TOLD["installation"].items() if key != "interface_resistance"}
    budget, _ = budget_of(installation=installation)
    assert (budget.interface.value, budget.works) == (0.0, True)


def test_isolator_brings_its_own_supply_and_resistance():
    proposal_budget, _ = budget_of(
        service_class="process",
        hazardous_area={"zone": 1, "gas_group": "IIC", "temperature_class": "T4"},
        devices={
            "oscillator_demodulator": {"minimum_voltage_v": 17.5, "current_ma": 10},
            "isolator": {"supply_minimum_v": 21, "series_resistance_ohm": 100},
        },
    )
    assert (proposal_budget.supply.value, proposal_budget.interface.value) == (21, 100)


def test_facts_are_the_same_from_description_and_from_proposal():
    document = {**MINIMAL, **TOLD}
    machine = read_machine(document, reading_context(load_defaults()))
    told, stored = facts_of_machine(machine), facts_of_proposal(propose_document(document))
    for name in LoopFacts.__dataclass_fields__:
        if name != "devices":
            assert getattr(told, name) == getattr(stored, name)
    assert told.figure("transmitter", "minimum_voltage_v") == stored.figure(
        "transmitter", "minimum_voltage_v"
    )


def test_bands_and_shields_are_among_the_notes():
    notes = propose_document({**MINIMAL, **TOLD}).architecture.notes
    assert any("3.6 mA and below or 21 mA and above" in note for note in notes)
    assert any("Shields run through the junction boxes" in note for note in notes)
