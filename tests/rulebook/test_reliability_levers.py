"""What would turn one trip: the value found meets the limit, and a little beyond it does not."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from specapp.rulebook import reliability_working as stored
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.reliability import leg_rates, longest_proof_test_interval, vote_pfd
from specapp.rulebook.reliability_levers import function_turns
from tests.rulebook.failure_samples import TOLD_SAFETY, told_devices
from tests.rulebook.proposed import MINIMAL


def function(**safety: Any) -> Any:
    document = {**MINIMAL, "safety": {**TOLD_SAFETY, **safety}, "devices": told_devices()}
    found = propose_document(document).safety_functions
    return next(each for each in found if each["key"] == "P1/P1-1/radial")


def pfd(stages: Any, tests: Any) -> float:
    return sum(vote_pfd(each.credited, leg_rates(each.elements, tests), tests) for each in stages)


def test_interval_agrees_with_the_search_for_the_target() -> None:
    trip = function()
    by_path = {turn.path: turn for turn in function_turns(trip)}
    found = by_path["safety.proof_test_interval"]
    search = longest_proof_test_interval(
        stored.stages_of(trip), stored.tests_of(trip), limit_pfd=trip["limit_pfd"]
    )
    assert found.meets
    assert found.turns_at == pytest.approx(search.interval_h, rel=2e-4)


def test_either_side_of_what_is_found() -> None:
    trip = function(proof_test_coverage=0.9, full_test_interval="10 year")
    stages, tests = stored.stages_of(trip), stored.tests_of(trip)
    names = {
        "safety.proof_test_interval": "interval_h",
        "safety.proof_test_coverage": "coverage",
        "safety.full_test_interval": "full_interval_h",
        "safety.restoration_time": "restoration_h",
    }
    seen = 0
    for turn in function_turns(trip):
        if turn.path not in names or turn.turns_at is None:
            continue
        seen += 1
        beyond = turn.turns_at * (1.001 if turn.worsens == "above" else 0.999)
        name = names[turn.path]
        assert pfd(stages, replace(tests, **{name: turn.turns_at})) < trip["limit_pfd"]
        assert pfd(stages, replace(tests, **{name: beyond})) >= trip["limit_pfd"]
    assert seen >= 1


def test_common_cause_is_moved_where_it_counts() -> None:
    plain, justified = function(), function(xy_redundancy_justification="invented")
    assert not [turn for turn in function_turns(plain) if turn.path.endswith("beta")]
    assert [turn for turn in function_turns(justified) if turn.path == "devices.probe.beta"]


def test_nothing_turns_without_a_target() -> None:
    assert function_turns(function(sil_target=None)) == ()
