"""Every count of one thing agrees in every place, for any valid machine."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from specapp.domain.proposal import Proposal
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.rules.tags import LONGEST_TAG
from tests.rulebook.generated import machines
from tests.rulebook.test_cases import MINIMAL

STATEMENTS = {
    "points, all trains = rows of the instrument index",
    "tags = distinct tags",
    "proximity probes in points = in the bill",
    "proximity probes = oscillator-demodulators and transmitters",
    "proximity probes = extension cables",
    "points without a box",
    "monitored points = channels used",
    "trips = trips with an effect",
    "relays named = relays in the architecture",
    "links of the chain without exactly one owner",
}


def _places(proposal: Proposal) -> dict[str, tuple[str, int, int]]:
    return {
        channel.point: (rack.key, module.slot, channel.fault_group)
        for rack in proposal.architecture.racks
        for module in rack.modules
        for channel in module.channels
        if channel.point is not None
    }


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(machines())
def test_any_machine_reconciles(machine: dict[str, Any]) -> None:
    proposal = propose_document(machine)
    lines = proposal.reconciliation
    assert {line.statement for line in lines} >= STATEMENTS
    assert [line for line in lines if not line.holds] == []
    assert all(line.holds == (line.left == line.right) for line in lines)
    assert proposal.conflicts == ()
    _hold_tags(proposal)
    _hold_racks(proposal, denied=machine["installation"].get("fault_groups_independent") is False)
    _hold_boxes(proposal)
    _hold_bill(proposal, trains=max(1, len(machine["trains"])))


OVERRIDES = [
    {"rack.slots": 4, "rack.free_slots": 5},
    {"rack.slots": 4, "rack.single_fault_channels": 1},
    {"rack.slots": 5, "rack.single_fault_temperature_channels": 2},
    {"rack.dynamic_channels": 3, "rack.fault_group_channels": 2},
    {"rack.dynamic_channels": 12, "rack.fault_group_channels": 6, "rack.single_fault_channels": 4},
    {"rack.temperature_channels": 2, "rack.spare_percent": 100},
    {"box.positions": 2, "box.spare_terminal_percent": 0},
    {"box.positions": 24, "spares.percent": 0, "spares.minimum": 0},
]


@pytest.mark.parametrize("independent", [True, False])
@pytest.mark.parametrize("overrides", OVERRIDES)
def test_overridden_racks_and_boxes_reconcile(overrides: dict[str, float], independent: bool) -> None:
    pinions = [{"speed": 9000 + 1000 * index, "axial_location": "thrust_bearing"} for index in range(5)]
    facts = {
        "stage_count": 10,
        "pinions": pinions,
        "driver": {"kind": "steam_turbine"},
        "installation": {"fault_groups_independent": independent},
        "criteria": {
            key: {"value": value, "reason": "of the chosen system"} for key, value in overrides.items()
        },
    }
    proposal = propose_document(MINIMAL | facts)
    assert [line for line in proposal.reconciliation if not line.holds] == []


def _hold_tags(proposal: Proposal) -> None:
    tags = [tag for point in proposal.points for tag in (point.tag, *point.tags.values())]
    assert len(tags) == len(set(tags))
    assert len({tag.upper() for tag in tags}) == len(tags)
    assert max(map(len, tags)) <= LONGEST_TAG


def _hold_racks(proposal: Proposal, *, denied: bool) -> None:
    """No circuit fault takes more than two channels of one casing, or both legs of a thrust vote."""
    places = _places(proposal)
    points = {point.key: point for point in proposal.points}
    assert set(places) == {key for key, point in points.items() if point.chain == "monitor"}
    faults: Counter[tuple[object, ...]] = Counter()
    thrust: Counter[tuple[object, ...]] = Counter()
    used: Counter[str] = Counter()
    for key, (rack, slot, group) in places.items():
        point = points[key]
        used["temperature" if "temperature" in point.quantity else point.quantity] += 1
        if "temperature" not in point.quantity:
            faults[rack, slot, 0 if denied else group, point.shaft == "M"] += 1
        if point.quantity == "axial_position":
            thrust[rack, slot, point.voting_group] += 1
    assert max(faults.values(), default=0) <= 2
    assert max(thrust.values(), default=0) <= 1
    for rack in proposal.architecture.racks:
        assert len(rack.modules) + 2 <= 14
        empty = sum(c.point is None for module in rack.modules for c in module.channels)
        assert rack.spare_channels == empty
    _hold_spare_channels(proposal, used)


def _hold_spare_channels(proposal: Proposal, used: Counter[str]) -> None:
    dynamic = used["radial_vibration"] + used["axial_position"] + used["casing_vibration"]
    for kind, count in (("dynamic", dynamic), ("temperature", used["temperature"])):
        spare = sum(
            channel.point is None
            for rack in proposal.architecture.racks
            for module in rack.modules
            if module.kind == kind
            for channel in module.channels
        )
        assert spare >= math.ceil(count / 10)


def _hold_boxes(proposal: Proposal) -> None:
    points = {point.key: point for point in proposal.points}
    for box in proposal.architecture.junction_boxes:
        assert 0 < len(box.points) <= box.positions == 8
        held = [points[key] for key in box.points]
        assert len({point.shaft == "M" for point in held}) == 1
        assert len({"temperature" in point.quantity for point in held}) == 1
        assert all(point.installation.junction_box == box.key for point in held)
        assert box.spare_terminals == math.ceil(box.terminals / 5)


def _hold_bill(proposal: Proposal, trains: int) -> None:
    for line in proposal.bill_of_materials:
        assert line.quantity > 0
        assert isinstance(line.quantity, int)
        if line.points and line.unit == "piece" and line.item not in ("junction_box", "overspeed_system"):
            if not line.item.startswith("monitor_module"):
                assert line.quantity == len(line.points) * trains
            assert line.quantity % trains == 0


def test_a_missing_box_would_be_seen() -> None:
    proposal = propose_document(MINIMAL)
    line = next(each for each in proposal.reconciliation if each.statement == "points without a box")
    assert (line.left, line.right, line.holds) == (0, 0, True)
    probes = next(
        each for each in proposal.reconciliation if each.statement.startswith("proximity probes in")
    )
    assert (probes.left, probes.right) == (19, 19)
