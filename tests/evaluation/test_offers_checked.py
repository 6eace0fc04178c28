"""Whole offers: the bill compared, failure data through the trips, contradictions, factors of groups."""

import pytest

from specapp.evaluation.replies.bill import bill_checks
from specapp.evaluation.replies.checking import check_offer, group_factors, knocked_out
from specapp.evaluation.replies.failure_data import TripAnswer, device_data, reliability_found, trip_answers
from specapp.evaluation.replies.offer import Deviation, OfferedDevice, OfferedItem, Reply, TechnicalOffer
from specapp.evaluation.requirements.requirement import BillItem
from tests.documents.sample import proposal
from tests.evaluation.asked import asked, requirement

PROBES = BillItem("probe", "Probe", 10, 2, "piece")
GOOD = {
    "dangerous_undetected_per_h": "50 FIT",
    "dangerous_detected_per_h": "2e-7",
    "safe_detected_per_h": "1e-7 1/h",
    "safe_undetected_per_h": "1e-7",
    "component_type": "type A",
    "beta": "5 %",
    "beta_detected": "0.02",
    "failure_data_source": "report R-7",
}


@pytest.mark.parametrize(
    ("lines", "difference"),
    [
        ([], "missing"),
        ([("probe", 0, 0)], "missing"),
        ([("probe", 9, 2)], "fewer"),
        ([("probe", 10, 2)], "as asked"),
        ([("probe", 11, 2)], "more"),
        ([("probe", 10, 1)], "spares fewer"),
        ([("probe", None, None)], "not stated"),
        ([("probe", 4, 1), ("probe", 6, 1)], "as asked"),
    ],
)
def test_each_difference_of_a_bill_line(lines, difference):
    offered = [OfferedItem(key, "x", quantity, spares) for key, quantity, spares in lines]
    assert bill_checks([PROBES], offered)[0].difference == difference


def test_a_line_nobody_asked_for_comes_last():
    checks = bill_checks([PROBES], [OfferedItem("", "A display", 1), OfferedItem("probe", "x", 10, 2)])
    assert [each.difference for each in checks] == ["as asked", "extra"]


def test_failure_data_are_read_in_any_unit_and_whole_or_not_at_all():
    data = device_data(["probe", "relay"], [OfferedDevice("probe", GOOD)])
    assert data.devices["probe"]["dangerous_undetected_per_h"] == pytest.approx(5e-8)
    assert data.devices["probe"]["beta"] == pytest.approx(0.05)
    assert data.problems == ("No failure data for: relay.",)
    broken = device_data(["probe"], [OfferedDevice("probe", {**GOOD, "beta": "5", "component_type": "C"})])
    assert broken.devices == {}
    assert len(broken.problems) == 2


@pytest.mark.parametrize(
    ("offered", "others", "valid", "standing"),
    [
        (0.0099, 0.0, True, "comply"),
        (0.01, 0.0, True, "deviate"),
        (0.009, 0.002, True, "with comment"),
        (0.001, 0.001, False, "deviate"),
    ],
)
def test_trips_against_their_targets(offered, others, valid, standing):
    data = device_data(["probe"], [OfferedDevice("probe", GOOD)])
    trip = TripAnswer("K-1", "P1/radial", "Radial trip", 0.01, offered + others, offered, others, valid)
    assert reliability_found(requirement("trip_reliability"), data, [trip]).standing == standing


def test_the_part_of_others_is_the_sum_of_their_stages():
    function = proposal("contract_example").safety_functions[0]
    answer = trip_answers("K", [function], {"driver circuit breaker"})[0]
    breaker = next(s["pfd_avg"] for s in function["stages"] if s["stage"] == "driver circuit breaker")
    assert answer.pfd_of_others == breaker
    assert answer.pfd_offered + answer.pfd_of_others == pytest.approx(function["pfd_avg"])


def _checked(*replies, **parts):
    check = check_offer(asked(), TechnicalOffer(replies=replies, **parts))
    return {each.requirement: each for each in check.judgements}


def test_an_empty_offer_is_no_reply_everywhere_and_every_line_missing():
    check = check_offer(asked(), TechnicalOffer())
    assert {each.standing for each in check.judgements} == {"no reply"}
    assert {each.difference for each in check.bill} == {"missing"}
    assert all(each.question for each in check.judgements)


def test_a_count_that_differs_from_the_bill_is_a_contradiction():
    key = "proximity_probe_8mm"
    reply = Reply(f"MEA-01/{key}", "complies", "46", "D-1 p 2")
    found = _checked(reply, items=(OfferedItem(key, "Probe", 44),))[reply.requirement]
    assert found.standing == "with comment"
    assert "The reply says 46, the bill 44." in found.contradictions


def test_deviations_must_agree_with_their_list():
    found = _checked(
        Reply("DOC-02", "", "None", "D-1 p 2"),
        Reply("SIG-06", "deviates", "", "", "r.m.s. only"),
        Reply("SIG-05", "complies", "2 mm", "D-1 p 2"),
        deviations=(Deviation("SIG-05", "1.8 mm"),),
    )
    assert found["DOC-02"].contradictions
    assert found["SIG-06"].contradictions
    assert found["SIG-05"].contradictions
    assert found["SIG-05"].standing == "with comment"


def test_supplies_markings_and_ambients_are_held_against_each_other():
    found = _checked(
        Reply("POW-01", "complies", "2", "p 1"),
        Reply("ARE-01", "complies", "Ex ic IIC T4 Gc -40 °C ≤ Ta ≤ +60 °C", "p 1"),
        Reply("ENV-03", "complies", "-40 to 70 °C", "p 1"),
        items=(OfferedItem("monitor_rack", "Rack", 4), OfferedItem("power_supply", "Supply", 4)),
        devices=(OfferedDevice("probe", {}, "Ex ic IIB T3 Gc"),),
    )
    assert "the bill has 4 for 4 racks" in found["POW-01"].contradictions[0]
    assert "IIB T3" in found["ARE-01"].contradictions[0]
    assert "ends at 60" in found["ENV-03"].contradictions[0]


def test_a_reply_to_nothing_asked_is_told():
    check = check_offer(asked(), TechnicalOffer(replies=(Reply("NONE-1", "complies"),)))
    assert check.unknown == ("NONE-1",)


def test_factors_of_groups_and_knock_outs():
    made = asked().requirements
    full = {each.id: "comply" for each in made}
    assert set(group_factors(made, full).values()) == {1.0}
    assert knocked_out(made, full) == ()
    less = {**full, "SIG-06": "deviate"}
    weights = [each.weight for each in made if each.group == "SIG"]
    assert group_factors(made, less)["SIG"] == pytest.approx(1 - 3 / sum(weights))
    assert [each.id for each in knocked_out(made, less)] == ["SIG-06"]
    assert set(group_factors(made, {}).values()) == {0.0}
