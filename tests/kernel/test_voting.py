from itertools import product

import pytest

from specapp.kernel.errors import DomainError
from specapp.kernel.voting import GROUP_VOTINGS, vote

STATES = ("normal", "alarm", "trip", "fault")


@pytest.mark.parametrize("voting", ["1oo1", "1oo2", "2oo2", "2oo3", "1oo3"])
def test_sound_legs_trip_by_number(voting):
    must_ask, legs = GROUP_VOTINGS[voting]
    for states in product(("normal", "alarm", "trip"), repeat=legs):
        assert vote(voting, states).trip is (states.count("trip") >= must_ask)


@pytest.mark.parametrize("voting", GROUP_VOTINGS)
def test_order_of_the_legs_does_not_matter_and_every_fault_is_told(voting):
    for states in product(STATES, repeat=GROUP_VOTINGS[voting][1]):
        found = vote(voting, states)
        assert found == vote(voting, states[::-1])
        assert found.circuit_fault is ("fault" in states)
        assert found.alarm is any(state != "normal" for state in states)


@pytest.mark.parametrize(
    ("voting", "states", "trip"),
    [
        ("1oo1", ("fault",), False),
        ("2oo2", ("fault", "trip"), True),
        ("2oo2", ("fault", "alarm"), False),
        ("2oo2", ("fault", "fault"), False),
        ("1oo2", ("fault", "trip"), True),
        ("2oo3", ("fault", "trip", "normal"), False),
        ("2oo3", ("fault", "trip", "trip"), True),
        ("2oo3", ("fault", "fault", "trip"), True),
        ("trip_with_alarm", ("trip", "alarm"), True),
        ("trip_with_alarm", ("trip", "normal"), False),
        ("trip_with_alarm", ("alarm", "alarm"), False),
        ("trip_with_alarm", ("trip", "fault"), True),
        ("trip_with_alarm", ("alarm", "fault"), False),
    ],
)
def test_faulted_leg_leaves_the_vote(voting, states, trip):
    assert vote(voting, states).trip is trip


@pytest.mark.parametrize(
    ("voting", "states", "trip"),
    [
        ("2oo2", ("fault", "normal"), False),
        ("2oo2", ("fault", "fault"), True),
        ("2oo3", ("fault", "normal", "normal"), False),
        ("2oo3", ("fault", "fault", "normal"), True),
    ],
)
def test_two_faulted_legs_of_axial_position_or_overspeed_trip(voting, states, trip):
    assert vote(voting, states, faulted_legs_that_trip=2).trip is trip


@pytest.mark.parametrize(
    ("voting", "states"),
    [("2oo2", ("trip",)), ("1oo1", ("broken",)), ("2oo4", ("trip",) * 4), (None, ("trip",))],
)
def test_what_does_not_fit_is_refused(voting, states):
    with pytest.raises(DomainError):
        vote(voting, states)
