"""Two proposals beside each other: everything that differs, nothing else, and why."""

from __future__ import annotations

import copy
from typing import Any

import msgspec
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from specapp.domain.overrides import Override
from specapp.domain.proposal import Proposal, proposal_bytes
from specapp.domain.quantities import canonical
from specapp.domain.reading import machine_json
from specapp.rulebook.comparison import Comparison, compare
from specapp.rulebook.description_paths import numeric_inputs, with_value
from specapp.rulebook.proposing import propose_description, propose_document
from tests.generated_machines import machines
from tests.rulebook.moved import CRITERIA, moved, read, sample

RUNS = settings(max_examples=20, deadline=None, suppress_health_check=list(HealthCheck))


def _changed(change: Any) -> tuple[Proposal, Proposal, Comparison]:
    """Return the eight-stage sample, the same with `change` made, and their comparison."""
    document = sample("eight_stage")
    before = propose_document(document)
    change(document)
    after = propose_document(document)
    return before, after, compare(before, after)


@RUNS
@given(machines())
def test_a_proposal_does_not_differ_from_itself(document: dict[str, Any]) -> None:
    assert compare(propose_document(document), propose_document(copy.deepcopy(document))).is_empty


@RUNS
@given(machines(), st.data())
def test_what_would_change_is_what_a_fresh_proposal_says(
    document: dict[str, Any], data: st.DataObject
) -> None:
    machine = read(document)
    number, told = data.draw(st.sampled_from([(n, told) for n, told in numeric_inputs(machine) if told]))
    value = told * data.draw(st.sampled_from((0.5, 0.9, 1.1, 2.0)))
    value = float(round(value)) if number.whole else canonical(value)
    changed = moved(machine, number.path, value)
    assume(changed is not None and value != told)
    before = propose_description(machine, CRITERIA)
    draft = propose_description(with_value(machine, number.path, value), CRITERIA)
    fresh = propose_document(machine_json(changed))
    assert proposal_bytes(draft) == proposal_bytes(fresh)
    found = compare(before, draft)
    assert number.path in {cause.key for cause in found.causes}
    _says_what_differs(before, fresh, found)
    back = compare(draft, before)
    assert {(c.item, c.field): (c.now, c.was) for c in found.setpoints} == {
        (c.item, c.field): (c.was, c.now) for c in back.setpoints
    }
    assert len(found.changes) == len(back.changes)


def _says_what_differs(before: Proposal, after: Proposal, found: Comparison) -> None:
    was, now = ({point.key: point for point in each.points} for each in (before, after))
    assert {change.item for change in found.points} == was.keys() ^ now.keys()
    turned = {(check.subject, check.check, check.result) for check in after.checks} ^ {
        (check.subject, check.check, check.result) for check in before.checks
    }
    assert {(c.item, c.field) for c in found.checks} == {(subject, name) for subject, name, _ in turned}
    values = [
        {
            (point.voting_group, level): (
                setpoint.value,
                setpoint.unit,
                setpoint.governed_by,
                setpoint.status,
            )
            for point in each.points
            for level, setpoint in (("alarm", point.setpoints.alarm), ("trip", point.setpoints.trip))
            if setpoint is not None
        }
        for each in (before, after)
    ]
    differing = {key for key in values[0] | values[1] if values[0].get(key) != values[1].get(key)}
    assert differing <= {(change.item, change.field) for change in found.setpoints}
    bill = [{(r.item, r.supplied_by): r.quantity for r in each.bill_of_materials} for each in (before, after)]
    lines = {" ".join(key) for key in bill[0] | bill[1] if bill[0].get(key) != bill[1].get(key)}
    assert lines <= {change.item for change in found.bill}


def test_a_clearance_explains_the_trip_it_lowers() -> None:
    def tighter(document: dict[str, Any]) -> None:
        document["pinions"][1]["diametral_clearance"] = "0.07 mm"

    _, _, found = _changed(tighter)
    change = next(c for c in found.setpoints if (c.item, c.field) == ("P2/P2-1/radial", "trip"))
    assert (change.was.value, change.now.value) == (47.0, 42.0)
    assert change.now.governed_by == "radial.trip_clearance"
    (cause,) = change.why
    assert cause.key == "pinions[1].diametral_clearance"
    assert cause.text == "the diametral clearance of P2: was 0.135 mm, is 0.07 mm"
    assert {c.item for c in found.setpoints} == {"P2/P2-1/radial", "P2/P2-2/radial"}


def test_points_that_go_are_put_down_to_the_journal_and_leave_the_bill() -> None:
    def thinner(document: dict[str, Any]) -> None:
        document["pinions"][0] |= {"journal_diameter": "45 mm", "diametral_clearance": "0.07 mm"}

    _, _, found = _changed(thinner)
    gone = {change.item: change for change in found.points}
    assert gone.keys() == {"P1/P1-1/temperature/B", "P1/P1-2/temperature/B"}
    assert all(change.now is None for change in gone.values())
    assert [cause.key for cause in gone["P1/P1-1/temperature/B"].why] == ["pinions[0].journal_diameter"]
    elements = next(change for change in found.bill if change.item.startswith("resistance_thermometer"))
    assert elements.was["quantity"] - elements.now["quantity"] == 2
    assert "pinions[0].journal_diameter" in {cause.key for cause in elements.why}


def test_an_assumption_is_used_up_and_an_open_point_closes() -> None:
    document = sample("minimal_process")
    before = propose_document(document)
    document["pinions"][0]["journal_diameter"] = "60 mm"
    document["pinions"][0]["probe_location"] = "bearing"
    found = compare(before, propose_document(document))
    assert {c.item for c in found.open_points if c.now is None} == {"journal/P1"}
    assert "pinions[0].probe_location" in {c.item for c in found.assumptions if c.now is None}
    assert "pinions[0].diametral_clearance" in {c.item for c in found.assumptions if c.was is None}


def test_a_criterion_explains_what_rests_on_it() -> None:
    def owner(document: dict[str, Any]) -> None:
        document["criteria"] = {"radial.trip_multiple": {"value": 1.8, "reason": "invented"}}

    _, _, found = _changed(owner)
    assert [(cause.kind, cause.key) for cause in found.causes] == [("criterion", "radial.trip_multiple")]
    assert all(c.why == found.causes for c in found.setpoints)
    assert found.setpoints


def test_an_override_explains_the_group_it_is_about() -> None:
    document = sample("eight_stage")
    item = Override("P1/P1-1/radial", "trip", 45.0, "invented", "A. Tester", "2026-03-02T09:30:00")
    found = compare(propose_document(document), propose_document(document, overrides=[item]))
    trip = next(c for c in found.setpoints if c.field == "trip")
    assert trip.item == "P1/P1-1/radial"
    assert [cause.key for cause in trip.why] == ["P1/P1-1/radial trip"]
    assert [change.item for change in found.overrides] == ["P1/P1-1/radial trip"]


def test_pinions_in_another_order_are_the_same_pinions() -> None:
    def swap(document: dict[str, Any]) -> None:
        document["pinions"][0], document["pinions"][1] = document["pinions"][1], document["pinions"][0]

    _, _, found = _changed(swap)
    assert [cause.key for cause in found.causes] == ["pinions"]
    assert found.setpoints == found.points == found.checks == found.shafts == ()


def test_a_proposal_that_was_stored_compares_like_the_one_that_was_made() -> None:
    made = propose_document(sample("eight_stage"))
    stored = msgspec.json.decode(proposal_bytes(made), type=Proposal)
    assert compare(made, stored).changes == ()
    assert compare(stored, made).causes == ()
