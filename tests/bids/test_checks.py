"""What the check proposes is worked out once for what it rests on, under the criteria that were frozen."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from specapp.bids import checks
from specapp.bids.checks import basis_of, trips_with
from specapp.bids.comparing import compared
from specapp.bids.judging import judged, sheet_in_force
from specapp.bids.models import OfferContent
from specapp.bids.services.evaluating import reply_transcribe
from specapp.core.roles import Role
from specapp.criteria.loader import Override as CriterionValue
from specapp.evaluation.replies.failure_data import device_data
from specapp.projects.deciding.criteria import criterion_set
from specapp.projects.deciding.ground import project_ground
from specapp.projects.worked import BARE, proposal_for
from tests.bids.making import drafted, invited, issued_for_enquiry, sent_out
from tests.bids.many_offers import answers, enquiry_of
from tests.factories import NOW, ProjectFactory, machine_of, member

pytestmark = pytest.mark.django_db

REPAIR = "safety.repair_time"


def test_trips_are_calculated_under_the_criteria_that_the_machine_was_frozen_with():
    project = ProjectFactory()
    author = member(project, Role.OWNER)
    machine = machine_of(project, author, "contract_example")
    told = {"project": project, "key": REPAIR, "author": author, "now": NOW}
    row = criterion_set(value=CriterionValue(100, "No spare on site."), expected_row=None, **told)
    enquiry = drafted(project, issue=issued_for_enquiry(project, machine))
    invited(enquiry)
    sent_out(enquiry)
    sheet = sheet_in_force(enquiry)
    offer = answers(sheet.asked, 3)
    offered = device_data(sheet.asked.devices, offer.devices)
    assert not offered.problems
    description = {**machine.description, "devices": offered.devices}

    def of(ground):
        return {
            each["key"]: each["pfd_avg"]
            for each in proposal_for(description, ground).safety_functions
            if each.get("target")
        }

    def found():
        return {
            each.key: each.pfd for each in trips_with(basis_of(enquiry, sheet).machines, sheet.asked, offer)
        }

    assert found() == pytest.approx(of(project_ground(project.pk)))
    assert found()
    assert all(value < found()[key] for key, value in of(BARE).items()), "repaired sooner by default"
    # What the project sets after the issue is not what was asked.
    criterion_set(value=CriterionValue(60, "A spare was bought."), expected_row=row.pk, **told)
    frozen = found()
    checks._trips.cache_clear()
    assert found() == frozen


def test_failure_data_that_no_trip_can_be_calculated_with_do_not_comply():
    enquiry = enquiry_of(requirements=90, offers=1)
    found = compared(enquiry).offers[0]
    asked = sheet_in_force(enquiry).asked
    trips = next(each.id for each in asked.requirements if each.criterion.kind == "trip_reliability")
    assert found.standings[trips] in ("comply", "with comment")

    content = OfferContent.objects.get()
    for device in content.content["devices"]:
        device["values"]["failure_data_source"] = "certificate X-1,\nsecond line of a cell (invented)"
    content.save()
    check = judged(enquiry, found.offer).check
    judgement = next(each for each in check.judgements if each.requirement == trips)
    assert judgement.standing == "no reply"
    assert "failure_data_source" in " ".join(judgement.evidence)
    assert "failure_data_source" in judgement.question


def test_a_check_is_made_once_for_what_it_rests_on(monkeypatch):
    enquiry = enquiry_of(requirements=40, offers=3)
    made = []
    real = checks.check_offer
    monkeypatch.setattr(checks, "check_offer", lambda *told: made.append(told) or real(*told))
    offers = compared(enquiry).offers
    assert len(made) == 3
    compared(enquiry)
    judged(enquiry, offers[0].offer)
    assert len(made) == 3
    # A reply entered and a form read anew are each something else to rest on.
    key = sheet_in_force(enquiry).asked.requirements[0].id
    told = {"claim": "complies", "offered": "entered", "remark": "", "file": "letter.pdf", "page": "2"}
    author = member(enquiry.project, Role.EVALUATOR)
    reply_transcribe(offer=offers[1].offer, requirement=key, told=told, author=author, now=NOW)
    replies = {each.requirement: each for each in compared(enquiry).offers[1].technical.replies}
    assert (replies[key].offered, len(made)) == ("entered", 4)
    content = OfferContent.objects.get(envelope__offer=offers[2].offer)
    content.content["replies"] = []
    content.save()
    assert set(compared(enquiry).offers[2].standings.values()) == {"no reply"}
    assert len(made) == 5


def test_pages_that_judge_every_offer_ask_as_often_for_three_as_for_one(client):
    counts = []
    for offers in (1, 3):
        enquiry = enquiry_of(requirements=5, offers=offers)
        client.force_login(member(enquiry.project, Role.EVALUATOR))
        place = [enquiry.project_id, enquiry.pk]
        for name, more in (("enquiry-sign", ["decided"]), ("clarification-log", [])):
            with CaptureQueriesContext(connection) as asked:
                assert client.get(reverse(f"bids:{name}", args=[*place, *more])).status_code == 200
            counts.append(len(asked))
    assert counts[:2] == counts[2:]
