"""Time of the loop and area calculations of the 8-stage machine with every device told.

The limit of this subject is a tenth of the 10 ms that the calculations of loops and trips may take together,
with room for a slow computer; the benchmark shows what it is.
"""

import json
import time

import pytest

from specapp.rulebook import engine
from specapp.rulebook.entity_comparison import ENTITY_CRITERIA, entity_comparison
from specapp.rulebook.loop_budget import has_supply_budget, longest_for_bandwidth, supply_budget
from specapp.rulebook.loop_review import loop_reviews
from specapp.rulebook.loop_types import facts_of_proposal, loop_types
from specapp.rulebook.proposing import propose_document
from tests.documents.sample import MACHINES
from tests.documents.test_descriptive_system import TOLD
from tests.rulebook.failure_samples import told_devices

RULES = {"ARE-DEV-010", "ARE-IGN-010", "ARE-ADM-010", "LOP-SUP-010", "LOP-BND-010", "LOP-BND-020"}
RULES |= {"LOP-SHD-010", "LOP-SLW-010", "LOP-DIG-010", "INS-ENT-010"}
OF_THE_SUBJECT = ("ARE-", "LOP-", "INS-ENT-", "SAF-")
MOST_OF_ALL_MS = 10.0
MOST_MS = 5.0


@pytest.fixture(scope="module")
def machine():
    document = json.loads((MACHINES / "eight_stage.json").read_bytes())
    document["installation"]["protection"] = "intrinsic_safety"
    return {**document, "devices": TOLD}


def test_rules_of_loops_take_little_of_a_proposal(machine, monkeypatch):
    spent: list[float] = []
    run = engine._run

    def timed(context, rule):
        begun = time.perf_counter()
        outcome = run(context, rule)
        if rule.id in RULES:
            spent[-1] += time.perf_counter() - begun
        return outcome

    monkeypatch.setattr(engine, "_run", timed)
    for _ in range(8):
        spent.append(0.0)
        propose_document(machine)
    assert min(spent) * 1000 < MOST_MS


def test_area_loops_and_trips_together(machine, monkeypatch):
    """Every rule of area, loops, intrinsic safety and trips, and the review of every loop after it."""
    devices = told_devices(**TOLD)
    told = {**machine, "devices": devices}
    spent: list[float] = []
    run = engine._run

    def timed(context, rule):
        begun = time.process_time()
        outcome = run(context, rule)
        if rule.id.startswith(OF_THE_SUBJECT):
            spent[-1] += time.process_time() - begun
        return outcome

    monkeypatch.setattr(engine, "_run", timed)
    for _ in range(12):
        spent.append(0.0)
        proposal = propose_document(told)
        begun = time.process_time()
        loop_reviews(proposal)
        spent[-1] += time.process_time() - begun
    print(f"\narea, loops and trips of eight stages: {min(spent) * 1000:.2f} ms")
    assert min(spent) * 1000 < MOST_OF_ALL_MS


def test_everything_a_document_asks_of_the_loops(machine, benchmark):
    proposal = propose_document(machine)
    criteria = {row["key"]: row["value"] for row in proposal.criteria}
    assert set(ENTITY_CRITERIA) <= set(criteria)

    def everything():
        facts = facts_of_proposal(proposal)
        for loop in loop_types(proposal.points):
            entity_comparison(loop, facts, "IIB", criteria)
            if has_supply_budget(loop):
                assert supply_budget(loop, facts, criteria, isolated=True).limits is not None
            longest_for_bandwidth(proposal.checks, facts, loop, criteria)

    benchmark(everything)
