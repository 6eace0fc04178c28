"""What must hold for every valid machine, whatever its facts."""

from __future__ import annotations

import json
from typing import Any

from hypothesis import HealthCheck, given, settings

from specapp.domain.machine_schema import machine_schema
from specapp.domain.proposal import Proposal, proposal_bytes
from specapp.rulebook.proposing import propose_document
from tests.generated_machines import machines

RUNS = settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
LENGTHS_MM = ("journal_diameter", "diametral_clearance", "axial_float", "babbitt", "impeller_axial_clearance")


@RUNS
@given(machines())
def test_what_holds_for_every_valid_machine(machine: dict[str, Any]) -> None:
    """One proposal of each machine is held to all of it: proposing takes longer than the looking."""
    proposal = propose_document(machine)
    _agrees_with_itself(proposal)
    as_bytes = proposal_bytes(proposal)
    assert proposal_bytes(propose_document(_with_fields_turned(machine))) == as_bytes
    assert proposal_bytes(propose_document(_in_us_units(machine))) == as_bytes
    _normalised_is_the_same_machine(proposal)


def _agrees_with_itself(proposal: Proposal) -> None:
    assert [line.statement for line in proposal.reconciliation if not line.holds] == []
    assert proposal.conflicts == ()
    _keys_and_tags_are_unique(proposal)
    _trips_stand_above_alarms(proposal)
    _every_impeller_has_its_probe(proposal)
    _everything_has_a_reason(proposal)


def _keys_and_tags_are_unique(proposal: Proposal) -> None:
    keys = [point.key for point in proposal.points]
    assert len(keys) == len(set(keys))
    tags = [tag for point in proposal.points for tag in (point.tags or {"": point.tag}).values()]
    assert len(tags) == len(set(tags))


def _trips_stand_above_alarms(proposal: Proposal) -> None:
    for point in proposal.points:
        alarm, trip = point.setpoints.alarm, point.setpoints.trip
        for setpoint in (alarm, trip):
            if setpoint is not None:
                assert setpoint.value is not None
                assert 0 < setpoint.value <= setpoint.unrounded + 1e-9
        if alarm is not None and trip is not None:
            assert trip.value > alarm.value
            assert trip.voting_group == point.voting_group
        if trip is not None:
            assert trip.latched is True
            assert trip.voting


def _every_impeller_has_its_probe(proposal: Proposal) -> None:
    told = proposal.machine["stage_count"]
    seen = {p.stage for p in proposal.points if p.quantity == "radial_vibration" and p.direction == "Y"}
    assert set(range(1, told + 1)) <= seen


def _everything_has_a_reason(proposal: Proposal) -> None:
    for point in proposal.points:
        assert point.because
        for reason in point.because:
            assert reason.text
            assert reason.status in ("published", "from memory", "common practice")
    for check in proposal.checks:
        assert check.trace
        assert (check.result == "not_evaluated") == (check.needs is not None)
    for item in proposal.open_points:
        assert item.trace
        assert item.ask in ("maker", "owner", "purchaser", "supplier")


def _with_fields_turned(machine: dict[str, Any]) -> dict[str, Any]:
    turned = {key: machine[key] for key in reversed(machine)}
    turned["pinions"] = [{key: p[key] for key in reversed(p)} for p in machine["pinions"]]
    return turned


def _in_us_units(machine: dict[str, Any]) -> dict[str, Any]:
    in_us: dict[str, Any] = json.loads(json.dumps(machine))
    for shaft in [in_us["bull_gear"], *in_us["pinions"]]:
        for name in LENGTHS_MM:
            if name in shaft:
                shaft[name] = f"{shaft[name] / 25.4!r} in"
        if "baseline_vibration" in shaft:
            shaft["baseline_vibration"] = f"{shaft['baseline_vibration'] / 25.4!r} mil"
        shaft["speed"] = f"{shaft['speed']!r} r/min"
    for name in ("cable_run", "probe_to_box"):
        if name in in_us["installation"]:
            in_us["installation"][name] = f"{in_us['installation'][name] / 0.3048!r} ft"
    return in_us


def _normalised_is_the_same_machine(proposal: Proposal) -> None:
    again = propose_document(dict(proposal.machine))
    assert [(p.key, p.tag, p.setpoints) for p in again.points] == [
        (p.key, p.tag, p.setpoints) for p in proposal.points
    ] or _traces_differ_only(again, proposal)
    assert machine_schema()["$schema"]


def _traces_differ_only(one: Proposal, other: Proposal) -> bool:
    """Stated facts are no longer assumed, so trace indices move; the values must not."""

    def values(proposal: Proposal) -> list[Any]:
        return [
            (p.key, p.tag, *(s and (s.value, s.low, s.status, s.governed_by) for s in (a, t)))
            for p in proposal.points
            for a, t in [(p.setpoints.alarm, p.setpoints.trip)]
        ]

    return values(one) == values(other)
