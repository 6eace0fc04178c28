"""What the start-up checks find."""

import dataclasses

import pytest
from django.core.checks import run_checks

from specapp.core.checks import check_criteria
from specapp.criteria.loader import CriteriaSet, load_defaults
from specapp.rulebook import registry


def ids(messages):
    return [message.id for message in messages]


def with_one(**changed):
    """Return the criteria with the first published one changed."""
    found = list(load_defaults())
    place = next(i for i, item in enumerate(found) if item.status == "published")
    found[place] = dataclasses.replace(found[place], **changed)
    return CriteriaSet(found)


def test_the_program_as_it_stands_has_no_error():
    assert [message for message in run_checks() if message.level >= 30] == []


@pytest.mark.parametrize(
    ("changed", "expected"),
    [({"edition": ""}, 1), ({"edition": "", "status": "common practice"}, 0), ({}, 0)],
)
def test_a_sourced_criterion_needs_an_edition(changed, expected):
    assert ids(check_criteria(with_one(**changed))).count("specapp.E002") == expected


def test_criteria_from_memory_are_counted():
    before = sum(item.status == "from memory" for item in load_defaults())
    message = check_criteria(with_one(status="from memory"))[-1]
    assert message.id == "specapp.I001"
    assert message.msg.startswith(f"{before + 1} of ")


def test_a_rule_id_used_twice_is_an_error(monkeypatch):
    def refused(name):
        raise registry.DuplicateRule("rule id PTS-RAD-010 is registered twice")

    monkeypatch.setattr("specapp.core.checks.import_module", refused)
    assert "specapp.E001" in ids(run_checks())
