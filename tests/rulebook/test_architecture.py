"""Boxes, racks, relays, cables and interfaces. Source: project criteria 6, common practice unless said."""

from __future__ import annotations

from typing import Any

import pytest

from specapp.domain.proposal import Proposal, Relay
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.rack_packing import Module, Packing, Signal, pack_apart, pack_together
from tests.rulebook.test_cases import MINIMAL

MOTOR = {"kind": "induction_motor", "power": "4 MW", "bearings": "sleeve"}
TURBINE = {"kind": "steam_turbine", "power": "4 MW"}
LARGE = {
    "stage_count": 10,
    "pinions": [{"speed": 9000 + 1000 * index, "axial_location": "thrust_bearing"} for index in range(5)],
    "driver": MOTOR,
}


def _proposal(**facts: Any) -> Proposal:
    return propose_document(MINIMAL | facts)


def _packing(*, independent: bool = True, a_rack: int = 12) -> Packing:
    return Packing("dynamic", (2, 2), 2, independent, a_rack)


def _pair(name: str, casing: str = "gear") -> list[Signal]:
    return [Signal(f"{name}/Y", casing), Signal(f"{name}/X", casing)]


def _held(modules: list[Module]) -> list[list[list[str]]]:
    return [[[signal.point for signal in group] for group in module.groups] for module in modules]


class TestPacking:
    def test_a_pair_fills_one_fault_group(self) -> None:
        modules: list[Module] = []
        packing = _packing()
        pack_together(packing, modules, [Signal("casing", "gear")])
        pack_together(packing, modules, _pair("P1"))
        assert _held(modules) == [[["casing"], ["P1/Y", "P1/X"]]]

    def test_without_independence_a_module_holds_two_of_a_casing(self) -> None:
        modules: list[Module] = []
        packing = _packing(independent=False)
        for name in ("P1", "P2"):
            pack_together(packing, modules, _pair(name))
        pack_together(packing, modules, _pair("M1", "driver"))
        assert _held(modules) == [[["P1/Y", "P1/X"], ["M1/Y", "M1/X"]], [["P2/Y", "P2/X"], []]]
        # Beside P2 no more gear channels fit: the free two are no spare for the gear casing.
        assert packing.usable_spares(modules) == 0

    def test_legs_of_a_thrust_vote_stand_on_two_modules(self) -> None:
        modules: list[Module] = []
        pack_apart(_packing(), modules, [Signal("A", "gear"), Signal("B", "gear")])
        assert _held(modules) == [[["A"], []], [["B"], []]]

    def test_legs_of_a_thrust_vote_stay_in_one_rack(self) -> None:
        packing = _packing(a_rack=2)
        modules: list[Module] = []
        for name in ("P1", "P2"):
            pack_together(packing, modules, _pair(name))
        pack_together(packing, modules, [Signal("casing", "gear")])
        pack_apart(packing, modules, [Signal("A", "gear"), Signal("B", "gear")])
        rack_of = {point: number // 2 for number, m in enumerate(_held(modules)) for g in m for point in g}
        assert rack_of["A"] == rack_of["B"]

    def test_a_group_larger_than_a_fault_may_take_is_split(self) -> None:
        packing = Packing("dynamic", (1, 1), 1, True, 12)
        modules: list[Module] = []
        pack_together(packing, modules, _pair("P1"))
        assert _held(modules) == [[["P1/Y"], ["P1/X"]]]


def test_a_large_machine_takes_several_racks() -> None:
    proposal = _proposal(**LARGE)
    racks = proposal.architecture.racks
    assert len(racks) > 1
    assert all(len(rack.modules) <= 12 for rack in racks)
    assert proposal.architecture.power_supplies == 2 * len(racks)
    assert {relay.rack for relay in proposal.architecture.relays} <= {rack.key for rack in racks}
    assert any(interface.key == "racks/phase" for interface in proposal.architecture.interfaces)


def test_a_full_rack_leaves_a_place_free_and_one_for_the_relays() -> None:
    first = _proposal(**LARGE).architecture.racks[0]
    assert [module.slot for module in first.modules] == list(range(1, 13))
    assert first.free_slots == 1


def test_boxes_are_split_by_side_only_where_one_does_not_hold_all() -> None:
    small = _proposal(service_class="packaged_air")
    assert [box.side for box in small.architecture.junction_boxes] == [None]
    sides = {box.side for box in _proposal().architecture.junction_boxes}
    assert sides == {1, 2}


def _relays(**facts: Any) -> dict[str, Relay]:
    return {relay.key: relay for relay in _proposal(**facts).architecture.relays}


def test_relays_of_a_machine_without_sil_target_energise_to_trip() -> None:
    relays = _relays()
    assert list(relays) == [
        f"R-1/{purpose}"
        for purpose in ("alarm", "trip_radial", "trip_axial", "trip_temperature", "circuit_fault")
    ]
    assert relays["R-1/trip_radial"].normally == "de-energised"
    assert relays["R-1/circuit_fault"].normally == "energised"
    assert [key for key, relay in relays.items() if relay.latched] == [
        "R-1/trip_radial",
        "R-1/trip_axial",
        "R-1/trip_temperature",
    ]
    assert "BG/axial" in relays["R-1/trip_axial"].causes


def test_relays_with_a_sil_target_de_energise_to_trip() -> None:
    relays = _relays(safety={"sil_target": 2})
    assert relays["R-1/trip_axial"].normally == "energised"
    assert relays["R-1/alarm"].normally == "de-energised"


def test_overspeed_relay_stands_apart_and_is_energised() -> None:
    relays = _relays(driver=TURBINE)
    relay = relays["overspeed system M/overspeed"]
    assert (relay.normally, relay.latched, relay.rack) == ("energised", True, None)
    assert relay.causes == ("M/overspeed",)


@pytest.mark.parametrize(("target", "words"), [(None, "runs unprotected"), (1, "every trip relay")])
def test_loss_of_both_supplies_is_stated(target: int | None, words: str) -> None:
    notes = _proposal(safety={"sil_target": target} if target else {}).architecture.notes
    assert any("One supply of a rack lost: alarm" in note for note in notes)
    assert any(note.startswith("Both supplies") and words in note for note in notes)


def test_transmitter_machine_has_no_rack_and_no_relay() -> None:
    architecture = _proposal(service_class="packaged_air").architecture
    assert architecture.racks == ()
    assert architecture.relays == ()
    assert architecture.power_supplies == 0
    assert {cable["kind"] for cable in architecture.cables} == {"pair"}
    assert {cable["to"] for cable in architecture.cables} == {"control system"}
    assert not any(interface.kind == "data link" for interface in architecture.interfaces)


def test_every_point_has_its_own_cable_from_its_box() -> None:
    proposal = _proposal(driver=MOTOR, installation={"cable_run": "180 m"})
    boxes = {point.key: point.installation.junction_box for point in proposal.points}
    cables = proposal.architecture.cables
    assert [list(cable["points"]) for cable in cables] == [[key] for key in boxes]
    assert all(cable["from"] == boxes[cable["points"][0]] for cable in cables)
    ends = {cable["points"][0]: cable["to"] for cable in cables}
    assert ends["M/winding/1"] == "motor relay"
    assert ends["P1/phase"] == "R-1"


def test_a_trip_never_passes_a_network() -> None:
    interfaces = _proposal().architecture.interfaces
    trips = [each for each in interfaces if "trip" in each.kind]
    assert trips
    assert all(each.kind == "hard-wired trip" for each in trips)
    assert all(each.direction == "read only" for each in interfaces if each.kind == "data link")
    assert not any(each.key.endswith("/start") for each in interfaces)
