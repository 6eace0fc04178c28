"""Amended, moved, cancelled, asked and answered: the buyer's pages beside the straight way."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from specapp.bids.models import Clarification, Stage
from specapp.bids.services.evaluating import form_read
from specapp.bids.sheets import issued_sheet
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.evaluation.offers_read import read_technical
from tests.bids.making import (
    AFTER,
    at_opening,
    drafted,
    invited,
    opened,
    received,
    sent_out,
    technical_file,
)
from tests.factories import ProjectFactory, member

pytestmark = pytest.mark.django_db


def _at(name, enquiry, *rest):
    return reverse(f"bids:{name}", args=[enquiry.project_id, enquiry.pk, *rest])


@pytest.fixture
def enquiry(client):
    found = drafted(ProjectFactory(time_zone="Europe/Oslo"))
    found.closes_at = timezone.now() + timedelta(days=5)
    found.save()
    client.force_login(member(found.project, Role.BUYER))
    return found


def test_a_later_closing_time_is_an_amendment_that_leaves_forms_good(client, enquiry):
    invited(enquiry)
    place = _at("closing-move", enquiry)
    told = {"closes_on": (timezone.now() + timedelta(days=9)).date(), "closes_at": "14:30", "note": "A week."}
    assert client.post(place, {**told, "version": enquiry.version}).status_code == 409
    first = sent_out(enquiry)
    told["version"] = enquiry.version
    assert client.post(place, {**told, "closes_at": "25:00", "note": ""}).status_code == 422
    earlier = {**told, "closes_on": timezone.now().date()}
    assert "moved on only" in client.post(place, earlier).content.decode()
    assert client.post(place, {**told, "version": 0}).status_code == 409
    assert client.post(place, told).status_code == 302
    enquiry.refresh_from_db()
    second = enquiry.amendments.last()
    assert (second.number, second.closes_at, second.terms) == (1, enquiry.closes_at, first.terms)
    assert "14:30 (Europe/Oslo)" in issued_sheet(second).closes
    assert read_technical(technical_file(first), issued_sheet(second)).items == ()
    assert AuditEntry.objects.get(action="enquiry.extend").data["note"] == "A week."
    assert sent_out(enquiry, "Two more boxes.").number == 2


def test_nothing_is_moved_after_the_closing(client, enquiry):
    invited(enquiry)
    enquiry.closes_at = timezone.now()
    enquiry.save()
    sent_out(enquiry, now=timezone.now() - timedelta(days=1))
    told = {"closes_on": (timezone.now() + timedelta(days=9)).date(), "closes_at": "14:30", "note": "A week."}
    moved = client.post(_at("closing-move", enquiry), {**told, "version": enquiry.version})
    assert moved.status_code == 409
    assert enquiry.amendments.count() == 1


def test_an_enquiry_is_cancelled_once_with_a_reason(client, enquiry):
    place = _at("enquiry-cancel", enquiry)
    assert client.post(place, {"reason": " "}).status_code == 422
    assert client.post(place, {"reason": "Unit 44 is put off."}).status_code == 302
    assert client.post(place, {"reason": "Again."}).status_code == 409
    enquiry.refresh_from_db()
    assert enquiry.stage == Stage.CANCELLED
    page = client.get(_at("enquiry-show", enquiry)).content.decode()
    assert "Unit 44 is put off." in page
    assert AuditEntry.objects.get(action="enquiry.cancel").data["stage"] == Stage.DRAFT


def test_who_acts_for_a_bidder_and_what_it_has_acknowledged(client, enquiry):
    (bidder,) = invited(enquiry)
    sent_out(enquiry)
    place = _at("bidder-show", enquiry, bidder.pk)
    acting = member(enquiry.project, Role.BIDDER)
    reader = member(enquiry.project, Role.READER)
    assert client.post(place, {"person": reader.pk}).status_code == 422
    assert client.post(place, {"person": acting.pk}).status_code == 302
    assert list(bidder.people.all()) == [acting]
    assert client.post(place, {"person": acting.pk}).status_code == 422
    assert client.post(place, {"withdraw": acting.pk}).status_code == 302
    assert not bidder.people.exists()
    entered = _at("acknowledgement-enter", enquiry, bidder.pk, 0)
    assert "not yet" in client.get(place).content.decode()
    assert client.post(entered, {"acknowledge-evidence": ""}).status_code == 422
    assert client.post(entered, {"acknowledge-evidence": "Letter of 3 March"}).status_code == 302
    assert client.post(entered, {"acknowledge-evidence": "Letter"}).status_code == 409
    assert client.post(_at("acknowledgement-enter", enquiry, bidder.pk, 4)).status_code == 404
    assert "Letter of 3 March" in client.get(place).content.decode()
    assert "all issues acknowledged" in client.get(_at("enquiry-show", enquiry)).content.decode()


def test_vague_replies_are_ready_questions_asked_once(client):
    enquiry, envelope = at_opening(ProjectFactory())
    person = member(enquiry.project, Role.BUYER)
    form_read(envelope=envelope, author=person, now=AFTER)
    client.force_login(person)
    place = _at("clarification-log", enquiry)
    ready = {each["requirement"]: each for each in client.get(place).context["ready"]}
    assert "as per standard" in ready["SIG-02"]["question"]
    assert "SIG-05" not in ready
    assert client.post(place, {"do": "ready"}).status_code == 422
    chosen = {"do": "ready", "ready": [ready["SIG-02"]["key"], ready["SIG-06"]["key"]]}
    assert client.post(place, chosen).status_code == 302
    assert client.post(place, chosen).status_code == 422
    first, second = Clarification.objects.order_by("number")
    assert (first.number, second.number, first.scope) == (1, 2, "")
    enter = _at("clarification-enter", enquiry, first.pk)
    assert client.post(enter, {"answer-answer": "3 %"}).status_code == 422
    told = {"answer-answer": "3 %", "answer-evidence": "Letter, page 2"}
    assert client.post(enter, told).status_code == 302
    assert client.post(enter, told).status_code == 409
    assert "Letter, page 2" in client.get(f"{place}?show=answered").content.decode()
    assert client.get(f"{place}?show=other").context["shown"] == "all"


def test_a_question_tells_no_bidder_about_another(client):
    enquiry = drafted(ProjectFactory())
    one, other = invited(enquiry, "Northmark (invented)", "Eastlight (invented)")
    amendment = sent_out(enquiry)
    told = (("requirements", "SIG-02", "offered", "as on the Kestrel job"),)
    file = received(one, technical_file(amendment, *told))
    opened(enquiry)
    person = member(enquiry.project, Role.OWNER)
    file.refresh_from_db()
    form_read(envelope=file, author=person, now=AFTER)
    client.force_login(person)
    place = _at("clarification-log", enquiry)
    ask = {"ask-requirement": "SIG-02", "ask-question": "Is it as on the Kestrel job?"}
    assert "one bidder" in client.post(place, ask).content.decode()
    assert client.post(place, {**ask, "ask-bidder": other.pk}).status_code == 422
    assert client.post(place, {**ask, "ask-bidder": one.pk}).status_code == 302
    named = {"ask-question": "Like Northmark (invented)?", "ask-bidder": other.pk}
    assert "no bidder learns" in client.post(place, named).content.decode()
    assert client.post(place, {**ask, "ask-requirement": "SIG-99"}).status_code == 422
    assert client.post(place, {"ask-question": "Which error over the range?"}).status_code == 302
    scopes = set(Clarification.objects.filter(question__startswith="Which").values_list("scope", flat=True))
    assert len(scopes) == 1
    assert list(other.clarifications.values_list("number", flat=True)) == [1]
    reply = _at("reply-show", enquiry, file.offer_id, "SIG-02")
    filled = client.get(reply).context["ask_form"].initial["question"]
    everybody = {"do": "ask", "ask-question": filled, "ask-to_all": "on"}
    refused = client.post(reply, everybody)
    assert refused.status_code == 422
    assert "Ready for everybody" in refused.content.decode()
    assert other.clarifications.count() == 1


def test_a_cancelled_enquiry_takes_no_question(client, enquiry):
    invited(enquiry)
    ask = {"ask-question": "Which?"}
    assert client.post(_at("clarification-log", enquiry), ask).status_code == 409


def test_who_enquires_or_judges_asks_and_no_other_role(client):
    enquiry, _ = at_opening(ProjectFactory())
    for role in Role:
        client.force_login(member(enquiry.project, role))
        may = role in (Role.OWNER, Role.ENGINEER, Role.BUYER, Role.EVALUATOR)
        asked = client.post(_at("clarification-log", enquiry), {"ask-question": f"Which, {role.label}?"})
        assert asked.status_code == (302 if may else 403), role
        row = Clarification.objects.first()
        entered = client.post(_at("clarification-enter", enquiry, row.pk))
        assert entered.status_code == (422 if may else 403), role
