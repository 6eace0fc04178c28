"""The calculation written out: its formulas come to the values that the rules found."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings

from specapp.domain.problems import InputErrors
from specapp.domain.proposal import Proposal
from specapp.kernel.units import convert
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.worked_calculation import worked_calculations
from tests.generated_machines import machines
from tests.rulebook.moved import sample

SAMPLES = sorted(path.stem for path in (Path(__file__).parents[2] / "fixtures/machines").glob("*.json"))
RUNS = settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))


def _hold(proposal: Proposal) -> int:
    """Hold every line of every point against its candidate; return how many were held."""
    held = 0
    for point in proposal.points:
        for calculation in worked_calculations(proposal, point):
            candidates = {item.criterion: item for item in calculation.setpoint.candidates}
            assert [line.criterion for line in calculation.lines] == list(candidates)
            for line in calculation.lines:
                candidate = candidates[line.criterion]
                if candidate.value is None:
                    assert line.found is None
                    assert line.needs == candidate.needs
                    continue
                assert line.found is not None
                assert line.formula
                assert convert(line.found, line.unit, candidate.unit) == pytest.approx(
                    candidate.value, rel=1e-9
                )
                held += 1
    return held


@pytest.mark.parametrize("name", SAMPLES)
def test_every_formula_of_every_sample_comes_to_its_candidate(name: str) -> None:
    assert _hold(propose_document(sample(name))) > 0


@RUNS
@given(machines())
def test_formulas_hold_on_any_machine(machine: dict[str, object]) -> None:
    try:
        proposal = propose_document(machine)
    except InputErrors:
        return
    _hold(proposal)


def _lines(name: str, key: str, level: str) -> dict[str, tuple[str, str, str]]:
    proposal = propose_document(sample(name))
    point = next(item for item in proposal.points if item.key == key)
    found = next(item for item in worked_calculations(proposal, point) if item.title == level)
    return {line.criterion: (line.formula, line.numbers, line.result) for line in found.lines}


def test_a_radial_alarm_in_letters_and_in_numbers() -> None:
    lines = _lines("contract_example", "P1/P1-1/radial/Y", "Alarm")
    assert lines["radial.alarm_multiple"] == ("1.5 × A", "1.5 × 20.62", "30.94 µm p-p")
    assert lines["radial.alarm_zone"][1] == "1.25 × 66.71"
    assert lines["radial.minimum_separation"][0] == "trip before rounding / 1.25"


def test_an_axial_alarm_takes_a_capped_share_of_the_allowance() -> None:
    formula, numbers, result = _lines("contract_example", "BG/axial/A", "Alarm")["axial.rub_share"]
    assert formula == "f/2 + the smaller of 0.25 and 0.65 × 0.7 × (g − f/2)"
    assert numbers == "0.175 + the smaller of 0.25 and 0.65 × 0.7 × (0.55 − 0.175)"
    assert result == "0.3456 mm"


def test_us_settings_show_both_units() -> None:
    key = next(
        p.key for p in propose_document(sample("us_units_process")).points if p.quantity == "radial_vibration"
    )
    assert all(
        " mil" in result and "µm" in result
        for _, _, result in _lines("us_units_process", key, "Trip").values()
        if result
    )


def test_rounding_and_an_override_are_told() -> None:
    proposal = propose_document(sample("contract_example"))
    point = next(item for item in proposal.points if item.key == "P1/P1-1/radial/Y")
    alarm = worked_calculations(proposal, point)[0]
    assert alarm.rounding.endswith("rounded down to 25 µm.")
    assert [line.criterion for line in alarm.lines if line.governs] == [alarm.setpoint.governed_by]
