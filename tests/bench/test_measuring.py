"""Records of commissioning, each judged on both sides of its limits.

Limits are those of `specapp.criteria` (API 670 and 617, from memory; gap, loop and times common practice);
resistances are rows of the Pt100 table of IEC 60751:2008 as reproduced in public tables.
"""

import pytest
from msgspec.structs import replace

from specapp.bench.measuring.records import Facts
from specapp.bench.measuring.registry import KINDS, subject_of
from specapp.domain.proposal import Measure, Multiplier
from specapp.kernel.errors import DomainError
from tests.bench.ground import proposal_of
from tests.kernel.test_loop_curve import HAND


@pytest.fixture(scope="module")
def proposal():
    return proposal_of()


def judged(proposal, kind, data, key=None, facts=None):
    what = KINDS[kind]
    subject = subject_of(proposal, what, key or what.keys(proposal)[0], facts)
    return what.judge(subject, data)


def test_every_kind_has_fields_for_its_first_item_and_no_other(proposal):
    for kind in KINDS.values():
        for key in kind.keys(proposal)[:1]:
            assert kind.fields(subject_of(proposal, kind, key))
        assert subject_of(proposal, kind, "no such item") is None


def test_the_curve_worked_by_hand_passes_and_says_why(proposal):
    found = judged(proposal, "loop_curve", {"readings": HAND})
    assert found.passes
    results = dict(found.results)
    assert results["Linear range"] == "2 mm"
    assert results["Best gap voltage"].startswith("-9.87 V")
    assert "4140" in results["Scale factor is like"]
    assert dict(found.limits)["Scale factor"].startswith("7.87")


@pytest.mark.parametrize(("slope", "alloy"), [(7.3, "austenitic"), (8.3, "17-4PH"), (14.6, "aluminium")])
def test_a_wrong_alloy_is_told_by_its_slope(proposal, slope, alloy):
    curve = [(0.25 * n, -1.0 - slope * 0.25 * n) for n in range(1, 8)]
    found = judged(proposal, "loop_curve", {"readings": curve})
    assert not found.passes
    assert any(alloy in problem for problem in found.problems)


@pytest.mark.parametrize(("volts", "passes"), [(-9, True), (-8.99, False), (-11, True), (-11.01, False)])
def test_gap_voltage(proposal, volts, passes):
    assert judged(proposal, "gap_voltage", {"gap_v": volts}).passes is passes


@pytest.mark.parametrize(("total", "passes"), [(6.35, True), (6.36, False)])
def test_runout_against_the_floor_and_vectors_subtracted(proposal, total, passes):
    # 8 um at 90 degrees less 6 um at 0 degrees: a right triangle, 10 um.
    vectors = {"slow_um": 6.0, "slow_deg": 0.0, "running_um": 8.0, "running_deg": 90.0}
    found = judged(proposal, "runout", {"total_um": total, **vectors})
    assert found.passes is passes
    results = dict(found.results)
    assert results["Share of the runout allowed"] == "100 percent"
    assert results["1X of the rotor itself"].startswith("10 µm")
    assert "1X of the rotor itself" not in dict(judged(proposal, "runout", {"total_um": 3.0}).results)


def test_bump_test_finds_a_swapped_polarity_and_a_wrong_float(proposal):
    right = {"active_v": -11.38, "inactive_v": -8.62, "looks_toward": "active", "float_mm": 0.35}
    assert judged(proposal, "bump_test", right).passes
    swapped = judged(proposal, "bump_test", right | {"looks_toward": "inactive"})
    assert dict(swapped.results)["Polarity"] == "swapped"
    assert not judged(proposal, "bump_test", right | {"float_mm": 0.45}).passes


def test_the_bump_test_asks_what_the_description_says(proposal):
    kind = KINDS["bump_test"]
    subject = subject_of(proposal, kind, kind.keys(proposal)[0], Facts("inactive", 0.4))
    initial = {field.name: field.initial for field in kind.fields(subject)}
    assert (initial["looks_toward"], initial["float_mm"]) == ("inactive", "0.4 mm")


@pytest.mark.parametrize(
    ("ohm", "at", "tolerance", "passes"),
    [
        (138.51, 100.0, "A", True),
        (138.51, 101.0, "B", False),
        (138.51, 100.7, "B", True),
        (138.51, 100.7, "A", False),
    ],
)
def test_elements_against_the_table(proposal, ohm, at, tolerance, passes):
    data = {"resistance_ohm": ohm, "reference_c": at, "tolerance_class": tolerance}
    assert judged(proposal, "element", data).passes is passes


@pytest.mark.parametrize(
    ("milliamps", "passes"), [(12.16, True), (12.17, False), (11.84, True), (11.83, False)]
)
def test_loop_current_at_mid_range(proposal, milliamps, passes):
    key = next(p.key for p in proposal.points if p.range is not None)
    span = next(p.range for p in proposal.points if p.key == key)
    middle = (span.low.value + span.high.value) / 2
    data = {"value": middle, "measured_ma": milliamps}
    assert judged(proposal, "loop_current", data, key).passes is passes
    with pytest.raises(DomainError):
        judged(proposal, "loop_current", data | {"value": span.high.value + 1}, key)


def test_relay_time_on_each_side_of_the_delay(proposal):
    point = next(p for p in proposal.points if p.setpoints.trip and p.setpoints.trip.delay)
    delay = point.setpoints.trip.delay.value
    for off, passes in ((-0.05, True), (-0.06, False), (0.1, True), (0.11, False)):
        data = {"level": "trip", "measured_s": delay + off}
        assert judged(proposal, "relay_time", data, point.key).passes is passes


def test_the_final_element_must_act_in_time_and_stay_blocked(proposal):
    right = {"element": "breaker", "acted": "yes", "time_s": 0.3, "allowed_s": 0.3, "blocked": "yes"}
    assert judged(proposal, "final_element", right).passes
    for wrong in ({"acted": "no"}, {"time_s": 0.31}, {"blocked": "no"}):
        assert not judged(proposal, "final_element", right | wrong).passes
    assert judged(proposal, "final_element", right | {"allowed_s": None, "time_s": 9.0}).passes


def test_a_bypass_is_announced_trips_nothing_and_leaves_the_vote(proposal):
    right = {"announced": "yes", "tripped": "no", "voted": "yes", "ended": "yes"}
    assert judged(proposal, "bypass", right).passes
    for name, value in right.items():
        wrong = "no" if value == "yes" else "yes"
        assert not judged(proposal, "bypass", right | {name: wrong}).passes


def test_a_baseline_at_the_alarm_is_none(proposal):
    kind = KINDS["baseline"]
    key = kind.keys(proposal)[0]
    alarm = subject_of(proposal, kind, key).point.setpoints.alarm
    data = {"speed_rpm": 1000.0, "load": "full"}
    assert judged(proposal, "baseline", data | {"baseline": alarm.value * 0.99}, key).passes
    assert not judged(proposal, "baseline", data | {"baseline": alarm.value}, key).passes


def test_a_multiplier_holds_ends_and_is_not_always_on(proposal):
    point = next(p for p in proposal.points if p.quantity == "radial_vibration" and p.setpoints.trip.value)
    doubled = replace(point, multiplier=Multiplier(2.0, "start contact", Measure(30.0, "s"), ()))
    raised = replace(proposal, points=(doubled,))
    trip, room = point.setpoints.trip.value, 0.01 * (point.range.high.value - point.range.low.value)
    right = {"held": 1.5 * trip, "tripped": 2 * trip, "unarmed": "yes", "ended_s": 30.0}
    assert judged(raised, "multiplier", right).passes
    assert judged(raised, "multiplier", right | {"tripped": 2 * trip + room, "ended_s": 31.5}).passes
    for wrong in (
        {"held": trip},
        {"held": 2 * trip},
        {"tripped": 2 * trip + 1.01 * room},
        {"unarmed": "no"},
        {"ended_s": 31.6},
    ):
        assert not judged(raised, "multiplier", right | wrong).passes
