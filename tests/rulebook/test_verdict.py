"""The verdict in five lines says what the proposal holds."""

from __future__ import annotations

from typing import Any

from specapp.domain.proposal import Proposal
from specapp.rulebook.proposing import propose_document
from tests.rulebook.test_cases import MINIMAL

HELD = [{"speed": 18200, "journal_diameter": 60, "diametral_clearance": 0.035}, {"speed": 22000}]


def _proposal(**facts: Any) -> Proposal:
    return propose_document(MINIMAL | facts)


def test_proposed_counts_points_shafts_and_racks() -> None:
    assert _proposal().verdict.proposed == (
        "37 points on 3 shafts: 12 radial, 4 axial, 3 phase reference, 2 casing, 16 bearing temperature; "
        "monitor chain, 1 rack."
    )
    packaged = _proposal(service_class="packaged_air").verdict.proposed
    assert packaged.endswith("transmitter chain into the control system.")


def test_nothing_fails() -> None:
    assert _proposal().verdict.fails == "Nothing fails."


def test_failing_checks_and_held_groups_are_named() -> None:
    fails = _proposal(pinions=HELD, gases=["propane"]).verdict.fails
    assert "ases handled against the area (machine)" in fails
    assert "learance share below the acceptance limit (" in fails
    assert "_" not in fails
    assert "Held: P1/P1-1/radial, P1/P1-2/radial." in fails


def test_needs_you_counts_open_points_by_whom_to_ask() -> None:
    proposal = _proposal()
    text = proposal.verdict.needs_you
    assert text.startswith(f"{len(proposal.open_points)} open points: ")
    for who in {point.ask for point in proposal.open_points}:
        count = sum(point.ask == who for point in proposal.open_points)
        assert f"{count} for the {who}" in text


def test_next_fact_names_a_missing_fact_and_what_it_settles() -> None:
    text = _proposal().verdict.next_fact
    assert text.startswith("The journal diameter of ")
    assert " would settle " in text
    assert "_" not in text
    assert text.endswith(", and may lower a trip.")


def test_next_fact_moves_on_once_it_is_told() -> None:
    known = [
        {"speed": speed, "journal_diameter": 80, "diametral_clearance": 0.12} for speed in (18200, 22000)
    ]
    bull_gear = {"speed": 1490, "journal_diameter": 160, "diametral_clearance": 0.24}
    text = _proposal(pinions=known, bull_gear=bull_gear).verdict.next_fact
    assert "journal" not in text


def test_standing_counts_values_to_confirm_and_held_setpoints() -> None:
    proposal = _proposal(pinions=HELD)
    from_memory = sum(criterion["status"] == "from memory" for criterion in proposal.criteria)
    assert proposal.verdict.values_to_confirm == from_memory > 0
    setpoints = [s for p in proposal.points for s in (p.setpoints.alarm, p.setpoints.trip) if s is not None]
    held = sum(setpoint.status == "hold" for setpoint in setpoints)
    placeholders = sum(setpoint.status == "placeholder" for setpoint in setpoints)
    assert proposal.verdict.standing == (
        f"Working, not issued. {from_memory} values to be confirmed (from memory), {held} setpoints held, "
        f"{placeholders} placeholders."
    )
