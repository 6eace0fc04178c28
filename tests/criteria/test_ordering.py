"""Criteria that belong together in order may be moved together, not past each other."""

import pytest

from specapp.criteria.criteria_set import CriteriaSet
from specapp.criteria.loader import Override, load_defaults
from specapp.criteria.ordering import BELOW, out_of_order
from specapp.domain.problems import InputErrors
from specapp.rulebook.proposing import propose_document
from tests.rulebook.test_cases import MINIMAL


def _overridden(**values: float) -> CriteriaSet:
    told = {key.replace("__", "."): Override(value, "a reason") for key, value in values.items()}
    return load_defaults().with_overrides(told, origin="machine")


def test_the_defaults_are_in_order():
    assert out_of_order(load_defaults()) == []
    for low, high in BELOW:
        assert load_defaults().value(low) < load_defaults().value(high)


def test_both_may_move_together():
    moved = _overridden(temperature__journal_alarm=122, temperature__journal_trip=128)
    assert out_of_order(moved) == []


@pytest.mark.parametrize(
    ("values", "path"),
    [
        ({"temperature__journal_alarm": 120}, 'criteria["temperature.journal_alarm"].value'),
        ({"temperature__journal_trip": 110}, 'criteria["temperature.journal_trip"].value'),
        ({"temperature__babbitt_limit": 100}, 'criteria["temperature.babbitt_limit"].value'),
    ],
)
def test_one_may_not_pass_the_other(values, path):
    assert path in [problem.path for problem in out_of_order(_overridden(**values))]


def test_a_machine_with_crossed_criteria_is_an_input_error():
    told = {"temperature.journal_alarm": {"value": 125, "reason": "a warm climate (invented)"}}
    with pytest.raises(InputErrors) as caught:
        propose_document(MINIMAL | {"criteria": told})
    assert [problem.path for problem in caught.value.problems] == [
        'criteria["temperature.journal_alarm"].value'
    ]
