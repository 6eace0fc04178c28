"""Delay, vote, latch and multiplier on steps, against the vote of the kernel."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.bench.chain import Detected
from specapp.bench.decision import decide
from specapp.kernel.voting import GROUP_VOTINGS, vote
from tests.bench.ground import function_of

STEP = 0.01
LEVEL = {"normal": 10.0, "alarm": 30.0, "trip": 50.0, "fault": 50.0}


def detected(readings, lost=None):
    values = np.asarray(readings, np.float32)
    gone = np.zeros(values.shape, bool) if lost is None else np.asarray(lost, bool)
    return Detected(STEP, values, values, values, gone, gone)


def function(voting="1oo2", **more):
    must_ask, legs = GROUP_VOTINGS[voting]
    points = tuple(f"leg {number}" for number in range(legs))
    given = {"delay_s": 1.0, "alarm": 25.0, "trip": 37.0, "points": points, **more}
    return replace(function_of(), voting=voting, must_ask=must_ask, **given)


@given(st.data())
def test_settled_votes_are_those_of_the_kernel(data):
    voting = data.draw(st.sampled_from(sorted(GROUP_VOTINGS)))
    legs = GROUP_VOTINGS[voting][1]
    states = data.draw(
        st.lists(st.sampled_from(["normal", "alarm", "trip", "fault"]), min_size=legs, max_size=legs)
    )
    faults_trip = data.draw(st.sampled_from([None, 2]))
    readings = [[LEVEL[state]] * 150 for state in states]
    lost = [[state == "fault"] * 150 for state in states]
    found = decide(function(voting, faults_trip=faults_trip), detected(readings, lost))
    expected = vote(voting, states, faults_trip)
    assert bool(found.trip[-1]) == expected.trip
    assert bool(found.fault[-1]) == expected.circuit_fault
    assert bool(found.alarm[-1] | found.fault[-1] | found.trip[-1]) == expected.alarm


@pytest.mark.parametrize(("steps", "trips"), [(99, False), (100, True), (101, True)])
def test_a_condition_must_last_the_delay(steps, trips):
    readings = np.full((2, 400), 10.0)
    readings[0, 50 : 50 + steps] = 50.0
    found = decide(function(), detected(readings))
    assert (found.trip_s is not None) == trips
    assert found.longest_above_s == pytest.approx(steps * STEP)
    if trips:
        assert found.trip_s == pytest.approx((50 + 99) * STEP)


def test_a_gap_begins_the_delay_again_and_a_trip_stays():
    readings = np.full((1, 500), 10.0)
    readings[0, 50:140] = 50.0
    readings[0, 141:300] = 50.0
    found = decide(function("1oo1"), detected(readings))
    assert found.trip_s == pytest.approx((141 + 99) * STEP)
    assert found.trip[-1]
    assert not found.alarm[-1]


@pytest.mark.parametrize(("reading", "trips"), [(37.0, False), (37.01, True)])
def test_the_setpoint_itself_does_not_trip(reading, trips):
    found = decide(function("1oo1"), detected(np.full((1, 200), reading)))
    assert (found.trip_s is not None) == trips


def test_axial_setpoints_stand_on_both_sides():
    axial = replace(function("1oo1", alarm=0.3, trip=0.4), quantity="axial_position")
    assert decide(axial, detected(np.full((1, 200), -0.45))).trip_s is not None
    assert decide(axial, detected(np.full((1, 200), -0.35))).trip_s is None


def test_the_multiplier_ends_with_its_time():
    raised = function("1oo1", multiplier=2.0, multiplier_time_s=2.0)
    readings = detected(np.full((1, 600), 60.0))
    assert decide(raised, readings).trip_s == pytest.approx(0.99)
    assert decide(raised, readings, armed_until_s=60.0).trip_s == pytest.approx(2.99)
    assert decide(raised, readings, armed_until_s=1.0).trip_s == pytest.approx(1.99)


def test_lost_legs_trip_after_the_delay_only_while_they_are_lost():
    axial = function("2oo2", faults_trip=2)
    lost = np.zeros((2, 400), bool)
    lost[:, 50:145] = True
    kept = np.zeros((2, 400), bool)
    kept[:, 50:300] = True
    values = np.full((2, 400), 10.0, np.float32)
    assert decide(axial, Detected(STEP, values, values, values, lost, kept)).trip_s is None
    lost[:, 50:151] = True
    assert decide(axial, Detected(STEP, values, values, values, lost, kept)).trip_s is not None
