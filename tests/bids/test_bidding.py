"""A bidder's own pages: what was issued to it, its own files with their receipts, questions put to it."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import DatabaseError, transaction
from django.urls import reverse
from django.utils import timezone

from specapp.bids.errors import Refused
from specapp.bids.models import Envelope, Stage
from specapp.bids.services.bidding import (
    amendment_acknowledge,
    enquiry_decline,
    person_assign,
    person_withdraw,
)
from specapp.bids.services.evaluating import clarification_ask
from specapp.bids.services.life import enquiry_cancel
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.models import Membership
from specapp.revisions.content import bytes_of
from tests.bids.making import bidding_person, drafted, invited, sent_out, technical_file
from tests.factories import NOW, ProjectFactory, member

pytestmark = pytest.mark.django_db


@pytest.fixture
def bidder():
    enquiry = drafted(ProjectFactory(time_zone="Europe/Oslo"))
    enquiry.closes_at = timezone.now() + timedelta(days=5)
    enquiry.save()
    return invited(enquiry)[0]


@pytest.fixture
def person(bidder, client):
    found = bidding_person(bidder)
    client.force_login(found)
    return found


def _at(name, bidder, *rest):
    return reverse(f"bids:bidding-{name}", args=[bidder.code, *rest])


def test_nothing_is_there_before_the_issue(client, bidder, person):
    assert client.get(_at("show", bidder)).status_code == 404
    assert "Nothing was issued to you" in client.get(reverse("bids:bidding-list")).content.decode()
    amendment = sent_out(bidder.enquiry)
    assert bidder.code in client.get(reverse("bids:bidding-list")).content.decode()
    page = client.get(_at("show", bidder)).content.decode()
    assert "(Europe/Oslo)" in page
    assert "can read its database" in page
    form = client.get(_at("form", bidder, 0, "technical"))
    assert form.content == bytes_of(amendment.technical_form_id)
    assert client.get(_at("form", bidder, 1, "technical")).status_code == 404
    assert client.get(_at("form", bidder, 0, "sheet")).status_code == 404
    assert client.get(_at("paper", bidder, 0, "specification")).content.startswith(b"%PDF")
    assert client.get(_at("paper", bidder, 0, "report")).status_code == 404


def test_the_pages_are_there_for_no_other_role_even_if_it_is_named(client, bidder, person):
    sent_out(bidder.enquiry)
    assert client.get(_at("show", bidder)).status_code == 200
    for role in [role for role in Role if role != Role.BIDDER]:
        Membership.objects.filter(user=person).update(role=role)
        for name, rest in (("show", []), ("form", [0, "technical"]), ("paper", [0, "spares"])):
            assert client.get(_at(name, bidder, *rest)).status_code == 404
        posts = [(name, []) for name in ("send", "decline", "take-back")]
        for name, rest in (*posts, ("answer", [1]), ("acknowledge", [0])):
            assert client.post(_at(name, bidder, *rest)).status_code == 404
    Membership.objects.filter(user=person).delete()
    assert client.get(_at("show", bidder)).status_code == 404


def test_a_person_acts_for_one_organisation_only(bidder):
    (other,) = invited(bidder.enquiry, "Eastlight (invented)")
    author = bidder.enquiry.created_by
    acting = member(bidder.enquiry.project, Role.BIDDER)
    told = {"author": author, "now": NOW}
    with pytest.raises(Refused, match="role is bidder"):
        person_assign(bidder=bidder, person=member(bidder.enquiry.project, Role.READER), **told)
    person_assign(bidder=bidder, person=acting, **told)
    with pytest.raises(Refused, match="no other organisation"):
        person_assign(bidder=other, person=acting, **told)
    person_withdraw(bidder=bidder, person=acting, **told)
    person_assign(bidder=other, person=acting, **told)
    assert AuditEntry.objects.filter(action__startswith="bidder.").count() == 3


def test_an_amendment_is_acknowledged_once(client, bidder, person):
    amendment = sent_out(bidder.enquiry)
    assert client.post(_at("acknowledge", bidder, 0)).status_code == 302
    assert client.post(_at("acknowledge", bidder, 0)).status_code == 409
    assert client.post(_at("acknowledge", bidder, 1)).status_code == 404
    row = bidder.acknowledgements.get()
    assert (row.by, row.evidence) == (person, "")
    (stranger,) = invited(drafted(ProjectFactory(), "ENQ-2"))
    with pytest.raises(Refused, match="no amendment of this enquiry"):
        amendment_acknowledge(amendment=amendment, bidder=stranger, author=person, now=NOW)


def test_a_file_is_sent_sealed_with_a_receipt_and_again_after_an_amendment(client, bidder, person):
    amendment = sent_out(bidder.enquiry)
    data = technical_file(amendment)
    sent = {"file-label": "A1", "file-part": "TECHNICAL"}
    assert client.post(_at("send", bidder), sent).status_code == 422
    wrong = {**sent, "file-file": SimpleUploadedFile("o.xlsx", b"#!/bin/sh")}
    assert client.post(_at("send", bidder), wrong).status_code == 422
    for _ in range(2):
        right = {**sent, "file-file": SimpleUploadedFile("o.xlsx", data)}
        assert client.post(_at("send", bidder), right).status_code == 302
    first, second = Envelope.objects.order_by("version")
    assert (first.on_behalf, first.is_late, first.opened_at, second.version) == (False, False, None, 2)
    page = client.get(_at("show", bidder)).content.decode()
    assert all(each in page for each in (first.sha256, str(first.size), "A1"))
    assert "made for an earlier issue" not in page
    sent_out(bidder.enquiry, "Two more boxes.")
    page = client.get(_at("show", bidder)).content.decode()
    assert "Two more boxes." in page
    assert "made for an earlier issue" in page


def test_what_is_late_or_not_taken_any_more_is_told_in_words_that_say_nothing_else(
    client, bidder, person, monkeypatch
):
    amendment = sent_out(bidder.enquiry)
    data = technical_file(amendment)
    monkeypatch.setattr("specapp.bids.views.bidding.timezone.now", lambda: amendment.closes_at)
    sent = {"file-label": "base", "file-part": "TECHNICAL"}
    late = {**sent, "file-file": SimpleUploadedFile("o.xlsx", data)}
    assert client.post(_at("send", bidder), late).status_code == 302
    assert "after the closing time" in client.get(_at("show", bidder)).content.decode()
    assert Envelope.objects.get().is_late
    bidder.enquiry.stage = Stage.DECIDED
    bidder.enquiry.save()
    refused = client.post(_at("send", bidder), {**sent, "file-file": SimpleUploadedFile("o.xlsx", data)})
    assert refused.status_code == 409
    assert "decisions signed" not in refused.content.decode()


def test_a_question_is_answered_once_by_the_one_it_was_put_to(client, bidder, person):
    enquiry = bidder.enquiry
    (other,) = invited(enquiry, "Eastlight (invented)")
    sent_out(enquiry)
    ask = {"requirement": "SIG-05", "author": enquiry.created_by, "now": NOW}
    clarification_ask(bidders=[other], question="Only to the other?", **ask)
    clarification_ask(bidders=[other, bidder], question="To both?", **ask)
    page = client.get(_at("show", bidder)).content.decode()
    assert "To both?" in page
    assert "Only to the other?" not in page
    assert client.post(_at("answer", bidder, 2), {"answer-answer": "x"}).status_code == 404
    assert client.post(_at("answer", bidder, 1), {"answer-answer": ""}).status_code == 422
    told = {"answer-answer": "Yes, 2.2 mm.", "answer-evidence": "D-1 p 3"}
    assert client.post(_at("answer", bidder, 1), told).status_code == 302
    assert client.post(_at("answer", bidder, 1), told).status_code == 409
    assert bidder.clarifications.get().answered_by == person
    assert other.clarifications.get(number=2).answered_at is None


def test_a_bidder_declines_with_a_reason_and_may_take_it_back_until_the_closing_time(
    client, bidder, person, monkeypatch
):
    enquiry = bidder.enquiry
    amendment = sent_out(enquiry)
    assert client.post(_at("decline", bidder), {"decline-reason": " "}).status_code == 422
    assert client.post(_at("take-back", bidder)).status_code == 409
    told = {"decline-reason": "No capacity <b>this</b> year."}
    receipt = client.post(_at("decline", bidder), told, follow=True).content.decode()
    assert "No capacity &lt;b&gt;this&lt;/b&gt; year." in receipt
    assert "you make no offer" in receipt
    assert client.post(_at("decline", bidder), told).status_code == 409
    sent = {"file-label": "base", "file-part": "TECHNICAL"}

    def send():
        file = SimpleUploadedFile("o.xlsx", technical_file(amendment))
        return client.post(_at("send", bidder), {**sent, "file-file": file})

    refused = send()
    assert (refused.status_code, "take that back" in refused.content.decode()) == (409, True)
    client.force_login(enquiry.created_by)
    for place in ([], [bidder.pk]):
        name = "bids:bidder-show" if place else "bids:enquiry-show"
        page = client.get(reverse(name, args=[enquiry.project_id, enquiry.pk, *place])).content.decode()
        assert "No capacity &lt;b&gt;this&lt;/b&gt; year." in page
    client.force_login(person)
    monkeypatch.setattr("specapp.bids.views.bidding.timezone.now", lambda: amendment.closes_at)
    assert client.post(_at("take-back", bidder)).status_code == 409
    just_before = amendment.closes_at - timedelta(microseconds=1)
    monkeypatch.setattr("specapp.bids.views.bidding.timezone.now", lambda: just_before)
    assert client.post(_at("take-back", bidder)).status_code == 302
    assert send().status_code == 302
    page = client.post(_at("decline", bidder), told)
    assert (page.status_code, "once it is sent" in page.content.decode()) == (409, True)
    assert list(bidder.declinings.values_list("declines", "by")) == [(True, person.pk), (False, person.pk)]
    assert AuditEntry.objects.filter(action__startswith="bidder.decline").count() == 2


def test_what_was_said_about_declining_stays(bidder, person):
    sent_out(bidder.enquiry)
    enquiry_decline(bidder=bidder, reason="Busy", author=person, now=NOW)
    for change in (
        lambda: bidder.declinings.update(reason="Other"),
        lambda: bidder.declinings.all().delete(),
    ):
        with pytest.raises(DatabaseError, match="never changes"), transaction.atomic():
            change()


def test_a_cancelled_enquiry_says_so_and_not_why(client, bidder, person):
    amendment = sent_out(bidder.enquiry)
    told = {"author": bidder.enquiry.created_by, "now": NOW}
    clarification_ask(bidders=[bidder], requirement="", question="Which?", **told)
    enquiry_cancel(enquiry=bidder.enquiry, reason="Money is short.", **told)
    page = client.get(_at("show", bidder)).content.decode()
    assert "This enquiry is cancelled" in page
    assert "Money is short." not in page
    sent = {"file-label": "base", "file-part": "PRICE"}
    data = technical_file(amendment)
    assert (
        client.post(
            _at("send", bidder), {**sent, "file-file": SimpleUploadedFile("o.xlsx", data)}
        ).status_code
        == 409
    )
    assert client.post(_at("answer", bidder, 1), {"answer-answer": "x"}).status_code == 409
    assert "cancelled" in client.get(reverse("bids:bidding-list")).content.decode()
