"""The bill, its spares and who supplies what. Source: project criteria 6 (common practice)."""

from __future__ import annotations

from typing import Any

import pytest

from specapp.domain.proposal import BillLine, Proposal
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.rules.bill_items import ITEMS
from tests.rulebook.test_cases import MINIMAL

FIXED_NAMES = {
    "proximity_probe_8mm",
    "proximity_probe_5mm",
    "extension_cable_4m",
    "extension_cable_8m",
    "oscillator_demodulator",
    "vibration_transmitter",
    "position_transmitter",
    "accelerometer",
    "high_frequency_accelerometer",
    "velocity_sensor",
    "resistance_thermometer",
    "speed_sensor",
    "junction_box",
    "monitor_rack",
    "power_supply",
    "relay_module",
    "galvanic_isolator",
}
IS_AREA = {"zone": 1, "gas_group": "IIC", "temperature_class": "T1"}


def _proposal(**facts: Any) -> Proposal:
    return propose_document(MINIMAL | facts)


def _bill(**facts: Any) -> dict[str, BillLine]:
    return {line.item: line for line in _proposal(**facts).bill_of_materials}


def test_item_names_are_those_of_the_contract() -> None:
    assert set(ITEMS) >= FIXED_NAMES
    assert [item for item in ITEMS if item.startswith("proximity_probe")] == [
        "proximity_probe_8mm",
        "proximity_probe_5mm",
    ]


@pytest.mark.parametrize(
    ("trains", "quantity", "spares"),
    # 19 probes a train: 1.9, 3.8, 5.7 and, without remainder, 19.0 spares.
    [(1, 19, 2), (2, 38, 4), (3, 57, 6), (10, 190, 19)],
)
def test_spares_are_ten_percent_of_all_trains_rounded_up(trains: int, quantity: int, spares: int) -> None:
    letters = [f"T{index}" for index in range(trains)]
    line = _bill(trains=letters if trains > 1 else [])["proximity_probe_8mm"]
    assert (line.quantity, line.spares) == (quantity, spares)


def test_each_loose_type_has_at_least_one_spare_and_fixed_parts_none() -> None:
    bill = _bill(hazardous_area=IS_AREA, trains=["A", "B"])
    for item, line in bill.items():
        if (
            item in ("junction_box", "monitor_rack", "probe_holder", "resistance_thermometer")
            or "field" in item
        ):
            assert line.spares == 0, item
        else:
            assert line.spares >= 1, item
    assert {bill[f"monitor_module_{kind}"].spares for kind in ("dynamic", "phase", "temperature")} == {1}
    assert bill["galvanic_isolator"].quantity == 37 * 2
    assert bill["galvanic_isolator"].spares == 8


def test_owner_comes_from_the_scope() -> None:
    bill = _bill(scope={"monitor": "existing", "field_cable": "purchaser"})
    assert bill["monitor_rack"].supplied_by == "existing"
    assert bill["relay_module"].supplied_by == "existing"
    assert bill["field_cable_triad"].supplied_by == "purchaser"
    assert bill["proximity_probe_8mm"].supplied_by == "machine_maker"


def test_every_link_has_exactly_one_owner() -> None:
    proposal = _proposal(hazardous_area=IS_AREA, scope={"isolator": "purchaser"})
    owners = {line.link: (line.owner, line.assumed) for line in proposal.responsibility}
    assert len(owners) == len(proposal.responsibility)
    assert owners["isolator"] == ("purchaser", False)
    assert owners["monitor"] == ("system_supplier", True)
    for point in proposal.points:
        assert set(point.supplied_by) <= set(owners)
        assert all(owner == owners[link][0] for link, owner in point.supplied_by.items())


def test_links_of_a_point_are_those_of_its_chain() -> None:
    points = {point.key: point for point in _proposal().points}
    assert list(points["P1/P1-1/radial/Y"].supplied_by) == [
        "probe",
        "extension_cable",
        "oscillator_demodulator",
        "junction_box",
        "field_cable",
        "monitor",
        "shutdown_system",
        "installation",
    ]
    assert "shutdown_system" not in points["P1/phase"].supplied_by
    assert "extension_cable" not in points["BG/B1/casing"].supplied_by
    packaged = {point.key: point for point in _proposal(service_class="packaged_air").points}
    chain = packaged["P1/P1-1/radial/Y"].supplied_by
    assert "transmitter" in chain
    assert "monitor" not in chain


def test_a_link_told_that_the_machine_lacks_is_not_lost() -> None:
    lines = {line.link: line for line in _proposal(scope={"transmitter": "purchaser"}).responsibility}
    assert lines["transmitter"].text.endswith("none in this machine")


def test_mixed_makes_of_one_transducer_system_are_an_open_point() -> None:
    keys = {point.key for point in _proposal(scope={"extension_cable": "installer"}).open_points}
    assert "scope/one_make" in keys
    same = dict.fromkeys(("probe", "extension_cable", "oscillator_demodulator"), "purchaser")
    assert "scope/one_make" not in {point.key for point in _proposal(scope=same).open_points}


def test_turbine_maker_supplies_the_overspeed_group() -> None:
    bill = _bill(driver={"kind": "steam_turbine"}, scope={"probe": "purchaser", "monitor": "purchaser"})
    assert bill["speed_sensor"].supplied_by == "machine_maker"
    assert bill["overspeed_system"].supplied_by == "machine_maker"
    assert bill["monitor_rack"].supplied_by == "purchaser"
    assert bill["speed_sensor"].quantity == 3


@pytest.mark.parametrize(
    ("criticality", "installed"), [("critical", True), ("essential", False), ("general", False)]
)
def test_probes_inside_the_gas_get_an_installed_spare_or_a_stated_refusal(
    criticality: str, installed: bool
) -> None:
    pinions = [{"speed": 18200, "probe_location": "seal_housing"}, {"speed": 22000}]
    proposal = _proposal(pinions=pinions, criticality=criticality)
    bill = {line.item: line for line in proposal.bill_of_materials}
    assert ("installed_spare_probe" in bill) == installed
    assert any("seal housings" in note for note in proposal.architecture.notes)
    assert bill["feed_through"].quantity == 4


def test_cables_are_pieces_until_the_run_is_told() -> None:
    assert (_bill()["field_cable_triad"].unit, _bill()["field_cable_triad"].quantity) == ("piece", 37)
    measured = _bill(installation={"cable_run": "12.5 m"})["field_cable_triad"]
    # 37 runs of 12.5 m are 462.5 m, bought as whole metres.
    assert (measured.unit, measured.quantity) == ("m", 463)
