"""Running again only what an input reaches gives what running everything gives."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from specapp.domain.overrides import Override
from specapp.domain.quantities import canonical
from specapp.rulebook.description_paths import numeric_inputs, with_value
from specapp.rulebook.kinds import kinds_of, turned
from specapp.rulebook.proposing import propose_description
from specapp.rulebook.reevaluation import Reevaluation
from tests.generated_machines import machines
from tests.rulebook.moved import CRITERIA, moved, read, sample

RUNS = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
FACTORS = st.sampled_from((0.2, 0.5, 0.8, 0.95, 0.999, 1.001, 1.05, 1.3, 2.0, 6.0))
OVERRIDES = (
    Override("P1/P1-1/radial", "trip", 33.0, "invented", "A. Tester", "2026-03-02T09:30:00"),
    Override("P1/P1-1/radial/X", "struck", True, "invented", "A. Tester", "2026-03-02T09:30:00"),
)


@RUNS
@given(machines(), st.data())
def test_what_turns_is_what_a_whole_run_turns(document: dict[str, Any], data: st.DataObject) -> None:
    machine = read(document)
    overrides = data.draw(st.sampled_from(((), OVERRIDES[:1], OVERRIDES)))
    base = Reevaluation(machine, CRITERIA, overrides)
    assert base.kinds == kinds_of(propose_description(machine, CRITERIA, overrides))
    numbers = [(number, told) for number, told in numeric_inputs(machine) if told]
    # Several changes on one ground: none may leave anything behind for the next.
    for _ in range(4):
        number, told = data.draw(st.sampled_from(numbers))
        value = told * data.draw(FACTORS)
        value = float(round(value)) if number.whole else canonical(value)
        changed = moved(machine, number.path, value)
        if changed is not None:
            whole = kinds_of(propose_description(changed, CRITERIA, overrides))
            assert base.turned_by(number.path, value) == turned(base.kinds, whole)


@RUNS
@given(machines(), st.data())
def test_an_input_that_no_rule_looks_at_turns_nothing(document: dict[str, Any], data: st.DataObject) -> None:
    machine = read(document)
    base = Reevaluation(machine, CRITERIA)
    unread = [(n, told) for n, told in numeric_inputs(machine) if told and not base.reaches(n.path)]
    assume(unread)
    number, told = data.draw(st.sampled_from(unread))
    changed = moved(machine, number.path, told * 1.5)
    assume(changed is not None)
    assert kinds_of(propose_description(changed, CRITERIA)) == base.kinds


def test_a_clearance_runs_few_rules_again(monkeypatch: pytest.MonkeyPatch) -> None:
    base = Reevaluation(read(sample("eight_stage")), CRITERIA)
    monkeypatch.setattr(base, "kinds_of_machine", lambda machine: pytest.fail("everything was run again"))
    assert base.turned_by("pinions[1].diametral_clearance", 0.08)


def test_a_power_that_takes_points_away_runs_everything_again() -> None:
    machine = read(sample("us_units_process"))
    base = Reevaluation(machine, CRITERIA)
    gone = [kind for kind, (_, now) in base.turned_by("driver.power", 900.0).items() if kind[0] == "point"]
    assert ("point", "BG/B1/radial/Y", "") in gone
    whole = kinds_of(propose_description(with_value(machine, "driver.power", 900.0), CRITERIA))
    assert base.turned_by("driver.power", 900.0) == turned(base.kinds, whole)
