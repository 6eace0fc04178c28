"""Votes with legs faulted or bypassed, against `kernel.voting` and against what criteria say of each vote."""

import pytest

from specapp.kernel.voting import GROUP_VOTINGS
from specapp.rulebook.truth_tables import legs_of, truth_table


def needed(voting, faulted, bypassed, limit=None):
    table = truth_table(voting, limit)
    row = next(r for r in table.rows if (r.faulted, r.bypassed) == (faulted, bypassed))
    return row.needed


@pytest.mark.parametrize(
    ("voting", "limit", "faulted", "bypassed", "expected"),
    [
        ("1oo1", None, 0, 0, 1),
        ("1oo1", None, 1, 0, None),
        ("1oo1", None, 0, 1, None),
        ("1oo2", None, 1, 0, 1),
        ("1oo2", None, 2, 0, None),
        ("2oo2", None, 0, 0, 2),
        ("2oo2", None, 1, 0, 1),
        ("2oo2", None, 0, 1, 1),
        ("2oo2", 2, 2, 0, 0),
        ("2oo2", 2, 1, 1, None),
        ("2oo2", 2, 0, 2, None),
        ("2oo3", 2, 1, 0, 2),
        ("2oo3", 2, 2, 0, 0),
        ("2oo3", 2, 1, 1, 1),
        ("2oo3", 2, 0, 3, None),
        ("1oo6", None, 5, 0, 1),
        ("1oo6", None, 6, 0, None),
        ("trip_with_alarm", None, 0, 0, 1),
        ("trip_with_alarm", None, 1, 0, 1),
    ],
)
def test_what_the_remaining_legs_must_do(voting, limit, faulted, bypassed, expected):
    assert needed(voting, faulted, bypassed, limit) == expected


def test_trip_with_alarm_wants_the_other_leg_at_alarm_while_there_is_one():
    rows = {(r.faulted, r.bypassed): r.with_alarm for r in truth_table("trip_with_alarm", None).rows}
    assert rows[(0, 0)]
    assert not rows[(1, 0)]
    assert not rows[(0, 1)]


@pytest.mark.parametrize("voting", [*GROUP_VOTINGS, "1oo6", "3oo4"])
@pytest.mark.parametrize("limit", [None, 2])
def test_no_bypass_trips_by_itself_and_every_combination_stands_once(voting, limit):
    legs = legs_of(voting)[1]
    table = truth_table(voting, limit)
    assert (
        len({(r.faulted, r.bypassed) for r in table.rows}) == len(table.rows) == (legs + 1) * (legs + 2) // 2
    )
    assert all(row.needed != 0 for row in table.rows if not row.faulted)
    assert table.trips_by_bypass_alone == (limit is not None and legs >= limit)


@pytest.mark.parametrize(
    ("voting", "limit", "by_faults", "by_bypass", "under_bypass"),
    [
        ("1oo1", None, 1, 1, False),
        ("1oo2", None, 2, 2, True),
        ("2oo2", None, 2, 2, True),
        ("2oo2", 2, None, 2, True),
        ("2oo3", 2, None, 3, False),
        ("1oo6", None, 6, 6, False),
    ],
)
def test_when_the_trip_is_lost(voting, limit, by_faults, by_bypass, under_bypass):
    table = truth_table(voting, limit)
    assert table.lost_by_faults == by_faults
    assert table.lost_by_bypass == by_bypass
    assert table.lost_by_a_fault_under_bypass == under_bypass


@pytest.mark.parametrize("word", ["", "two of three", "3oo2", "0oo2", "1oo", "1oo2D"])
def test_a_word_that_is_no_vote_is_refused(word):
    with pytest.raises(ValueError, match="no vote"):
        legs_of(word)
