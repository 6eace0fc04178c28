"""Trip reliability of every protective function, as the proposal carries it.

A safety function is a plain mapping. ``pfd_avg`` is the average probability of failure on demand,
``spurious_trips_per_year`` what the machine may stop for nothing; both None where they cannot be calculated
(``statement`` says why). ``basis`` is told or placeholder. ``level_claimed`` and the levels under ``levels``
are None unless everything the claim rests on was told; ``target`` and ``meets_target`` None without a target.
``stages`` are the votes in series, ``parts`` the devices with their data and ``share`` of the probability,
``governs`` those parts as one line. ``voting_comparison`` (radial pairs) sets missed against spurious trips
of each vote and ``decision`` records the one in force; ``truth_table`` is what the vote does with legs
faulted or bypassed. ``findings`` are what walking the way from tip to final element found.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from specapp.domain.proposal import Assumption
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.reliability import STANDARD, Tests
from specapp.rulebook.rules.function_documents import Basis, function_document, reliability
from specapp.rulebook.rules.trip_functions import trip_functions
from specapp.rulebook.safety_data import DataInForce
from specapp.rulebook.trace import Why


@rule(
    id="SAF-FUN-010",
    title="Reliability of each trip",
    phase=Phase.SAFETY,
    source="IEC 61508-6, annex B",
    edition="2010",
    status="published",
)
def functions(ctx: Context) -> Iterator[dict[str, Any] | Assumption]:
    """A trip that was never calculated may be too seldom there when it is needed, or too often when not."""
    data = DataInForce(ctx.machine)
    found = list(trip_functions(ctx, data))
    if not found:
        return
    why = ctx.why()
    safety = ctx.machine.safety
    tests, assumed = _tests(ctx, why)
    control_system = why.criterion("safety.control_system_risk_reduction")
    target = why.fact("safety.sil_target", safety.sil_target)
    why.fact("safety.radial_trip_voting", safety.radial_trip_voting)
    because = why.fact("safety.radial_trip_voting_reason", safety.radial_trip_voting_reason or None) or ""
    why.fact("safety.xy_redundancy_justification", safety.xy_redundancy_justification or None)
    why.fact("devices", sorted(ctx.machine.devices) or None)
    reason = why.say(
        f"{len(found)} trips by {STANDARD}: proof test every {tests.interval_h:g} h with a coverage of "
        f"{tests.coverage:g}; stages in series add up."
    )
    changes = ("probability of failure on demand of every trip", "levels that may be claimed")
    for field, value, text in assumed:
        yield Assumption(field, value, text, changes, 0, (reason,))
    untold = tuple(f"no {_last(field)} told" for field, _, _ in assumed)
    basis = Basis(tests, untold, target, control_system, safety.radial_trip_voting, because)
    calculated: dict[tuple[int, str, bool, int], Mapping[str, Any]] = {}
    for function in found:
        key = (
            id(function.stages),
            function.not_copies_because,
            function.is_radial_pair,
            len(function.points),
        )
        if key not in calculated:
            calculated[key] = reliability(function, basis)
        yield function_document(function, calculated[key], reason)


def _last(path: str) -> str:
    return (
        path.rpartition(".")[2]
        .replace("_", " ")
        .replace("proof test", "proof-test")
        .replace("full test", "full-test")
    )


def _tests(ctx: Context, why: Why) -> tuple[Tests, list[tuple[str, float, str]]]:
    """Return how trips are tested, and what of it was assumed: path, value, why."""
    safety = ctx.machine.safety
    interval = why.fact("safety.proof_test_interval", safety.proof_test_interval)
    coverage = why.fact("safety.proof_test_coverage", safety.proof_test_coverage)
    full = why.fact("safety.full_test_interval", safety.full_test_interval)
    assumed: list[tuple[str, float, str]] = []
    if interval is None:
        interval = why.criterion("safety.proof_test_interval")
        text = f"Proof-test interval not told: {interval:g} h, for an illustration."
        assumed.append(("safety.proof_test_interval", interval, text))
    if coverage is None:
        coverage = why.criterion("safety.proof_test_coverage")
        text = f"Proof-test coverage not told: {coverage:g}, which flatters the result."
        assumed.append(("safety.proof_test_coverage", coverage, text))
    if coverage < 1 and full is None:
        full = max(interval, why.criterion("safety.full_test_interval"))
        text = (
            f"Interval of the test that finds what the proof test leaves not told: {full:g} h, a life time."
        )
        assumed.append(("safety.full_test_interval", full, text))
    repair, restoration = why.criterion("safety.repair_time"), why.criterion("safety.restoration_time")
    by_vote = bool(why.criterion("safety.beta_by_vote"))
    return Tests(interval, coverage, full, repair, restoration, by_vote), assumed
