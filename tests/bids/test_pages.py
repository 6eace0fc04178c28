"""The pages of an enquiry as people use them: every form posted, problems told, nothing sealed shown."""

from datetime import timedelta
from io import BytesIO
from zipfile import ZipFile
from zoneinfo import ZoneInfo

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from specapp.bids.models import Decision, Enquiry, Envelope, OfferContent, Part, Stage, Transcription
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from tests.bids.making import (
    at_opening,
    drafted,
    invited,
    issued_for_enquiry,
    opened,
    opened_with,
    price_file,
    received,
    sent_out,
    technical_file,
)
from tests.factories import PASSWORD, ProjectFactory, member

pytestmark = pytest.mark.django_db


def _at(name, enquiry, *rest):
    return reverse(f"bids:{name}", args=[enquiry.project_id, enquiry.pk, *rest])


def _signed_in(client, project, role=Role.OWNER):
    person = member(project, role)
    client.force_login(person)
    return person


def test_from_issue_to_sealed_files_by_the_pages(client):
    project = ProjectFactory(time_zone="Europe/Oslo")
    issue = issued_for_enquiry(project)
    _signed_in(client, project, Role.BUYER)
    told = {"issue": issue.pk, "reference": "ENQ-9", "title": "Invented", "owners": ["system_supplier"]}
    new = reverse("bids:enquiry-new", args=[project.pk])
    client.post(new, {**told, "validity_days": 60, "site_days": 3, "needed_weeks": 26})
    enquiry = Enquiry.objects.get()
    assert enquiry.requirements.get(key="SUP-10").current["criterion"]["high"] == 26

    page = client.get(_at("terms-edit", enquiry))
    form = page.context["form"]
    posted = {name: field.initial for name, field in form.fields.items() if name.startswith("group_")}
    day = (timezone.now() + timedelta(days=9)).date().isoformat()
    posted |= {
        "version": enquiry.version,
        "closes_on": day,
        "closes_at": "12:00",
        "method": "weighted",
        "technical_share": 60,
        "pass_mark": 70,
        "currency": "EUR",
        "rates": "USD 0.9",
        "rate_date": "2026-03-01",
        "missing_items_from": "all",
        "discloses_weights": "on",
    }
    wrong = client.post(_at("terms-edit", enquiry), {**posted, "rates": "USD", "closes_at": "25:00"})
    assert wrong.status_code == 422
    unfair = client.post(_at("terms-edit", enquiry), {**posted, "group_MEA": 90})
    assert "not 100" in unfair.content.decode()
    assert client.post(_at("terms-edit", enquiry), posted).status_code == 302
    enquiry.refresh_from_db()
    assert enquiry.terms["settings"]["weights"] == {"technical": 60.0, "price": 40.0}
    assert (
        timezone.localtime(enquiry.closes_at, timezone=ZoneInfo(project.time_zone)).strftime("%H:%M")
        == "12:00"
    )

    client.post(_at("bidder-add", enquiry), {"bidder-name": "Northmark (invented)"})
    again = client.post(_at("bidder-add", enquiry), {"bidder-name": "northmark (invented)"})
    assert again.status_code == 409
    assert client.post(_at("enquiry-send", enquiry), {"version": 1}).status_code == 409
    assert client.post(_at("enquiry-send", enquiry), {"version": enquiry.version}).status_code == 302
    enquiry.refresh_from_db()
    assert enquiry.stage == Stage.ISSUED
    seen = client.get(_at("as-bidder", enquiry)).content.decode()
    assert "Weights are told" in seen
    assert "Northmark" not in seen

    bidder = enquiry.bidders.get()
    data = technical_file(enquiry.amendments.get())
    sent = {"file-label": "base", "file-part": "TECHNICAL", "file-file": SimpleUploadedFile("o.xlsx", data)}
    assert client.post(_at("file-receive", enquiry, bidder.pk), sent).status_code == 302
    file = Envelope.objects.get()
    assert client.get(_at("file-show", enquiry, file.pk)).status_code == 404
    assert client.get(_at("offer-show", enquiry, file.offer_id)).status_code == 403
    assert file.sha256[:16] in client.get(_at("enquiry-show", enquiry)).content.decode()
    early = client.post(_at("offers-open", enquiry, "technical"), {"password": PASSWORD})
    assert early.status_code == 422
    script = {**sent, "file-file": SimpleUploadedFile("o.xlsx", b"#!/bin/sh")}
    assert client.post(_at("file-receive", enquiry, bidder.pk), script).status_code == 422


def test_a_requirement_is_changed_by_its_page(client):
    enquiry = drafted(ProjectFactory())
    _signed_in(client, enquiry.project)
    row = enquiry.requirements.get(key="COM-05")
    place = _at("requirement-edit", enquiry, row.pk)
    posted = {"title": "Time", "text": "By NTP.", "weight": 4, "choices": "NTP\n", "version": row.version}
    assert client.post(place, posted).status_code == 422
    assert client.post(place, {**posted, "choices": "", "reason": "x"}).status_code == 422
    assert client.post(place, {**posted, "reason": "Plant clock"}).status_code == 302
    assert client.post(place, {**posted, "reason": "Again"}).status_code == 409
    row.refresh_from_db()
    assert row.current["criterion"]["choices"] == ["NTP"]
    listed = client.get(_at("requirement-list", enquiry) + "?show=changed").content.decode()
    assert "Plant clock" in listed


def test_an_offer_is_read_entered_asked_and_decided_by_its_pages(client):
    enquiry, envelope = at_opening(ProjectFactory())
    _signed_in(client, enquiry.project, Role.EVALUATOR)
    assert client.post(_at("file-read", enquiry, envelope.pk)).status_code == 302
    place = _at("reply-show", enquiry, envelope.offer_id, "SIG-02")
    assert "as per standard" in client.get(place).content.decode()
    entered = {"do": "transcribe", "transcribe-offered": "3 %", "transcribe-file": "a.pdf"}
    assert client.post(place, entered).status_code == 422
    assert client.post(place, {**entered, "transcribe-page": "2"}).status_code == 302
    assert client.post(place, {**entered, "transcribe-page": "3"}).status_code == 302
    assert Transcription.objects.get().page == "3"
    assert client.post(place, {"do": "decide", "decide-standing": "deviate"}).status_code == 409
    decided = {"do": "decide", "decide-standing": "deviate", "decide-reason": "Curve", "decide-agreed": "on"}
    assert client.post(place, decided).status_code == 302
    assert Decision.objects.get().standing == "deviate"
    assert client.post(place, {"do": "ask", "ask-question": "Which?", "ask-to_all": "on"}).status_code == 302
    for shown in ("all", "differs", "clarify", "contradicts", "must", "decided", "other"):
        assert client.get(_at("offer-show", enquiry, envelope.offer_id) + f"?show={shown}").status_code == 200
    wrong = client.post(_at("enquiry-sign", enquiry, "decided"), {"password": "wrong"})
    assert wrong.status_code == 422
    assert client.post(_at("enquiry-sign", enquiry, "decided"), {"password": PASSWORD}).status_code == 302
    assert client.post(place, decided).status_code == 409


def test_a_form_with_problems_is_not_read_at_all(client):
    enquiry = drafted(ProjectFactory())
    (bidder,) = invited(enquiry)
    envelope = received(bidder, price_file(sent_out(enquiry)))
    opened(enquiry)
    _signed_in(client, enquiry.project, Role.EVALUATOR)
    page = client.post(_at("file-read", enquiry, envelope.pk))
    assert page.status_code == 422
    assert "no sheet named" in page.content.decode()


def test_a_price_in_a_technical_file_is_refused_and_recorded_without_the_price(client):
    enquiry, envelope = opened_with(
        drafted(ProjectFactory()), ("requirements", "SIG-05", "remark", "less by USD 12 345")
    )
    _signed_in(client, enquiry.project, Role.EVALUATOR)
    page = client.post(_at("file-read", enquiry, envelope.pk))
    assert page.status_code == 422
    entry = AuditEntry.objects.get(action="offer.price_refused")
    assert entry.object_id == envelope.pk
    assert entry.data["cells"][0].startswith("requirements!")
    assert "12 345" not in page.content.decode() + str(entry.data)
    assert not OfferContent.objects.exists()


@pytest.mark.parametrize("role", [Role.BIDDER, Role.MAKER, Role.CLIENT, Role.REVIEWER, Role.READER])
def test_who_does_not_buy_sees_no_enquiry_and_no_link_to_one(client, role):
    enquiry = drafted(ProjectFactory())
    invited(enquiry, "Secretive Instruments (invented)")
    _signed_in(client, enquiry.project, role)
    assert client.get(_at("enquiry-show", enquiry)).status_code == 403
    project = client.get(reverse("projects:project-show", args=[enquiry.project_id]))
    assert "/enquiries/" not in project.content.decode()


def test_nothing_of_a_bidder_is_in_any_file_that_goes_out(client):
    enquiry = drafted(ProjectFactory())
    names = ("Alpha Secretive (invented)", "Beta Secretive (invented)")
    alpha, beta = invited(enquiry, *names)
    amendment = sent_out(enquiry)
    received(alpha, technical_file(amendment), Part.TECHNICAL)
    secrets = [*names, alpha.code, beta.code]
    _signed_in(client, enquiry.project)
    for part in ("technical", "price"):
        content = client.get(_at("form-file", enquiry, part)).content
        with ZipFile(BytesIO(content)) as archive:
            whole = b"".join(archive.read(name) for name in archive.namelist())
        assert not any(secret.encode() in whole for secret in secrets)
    for paper in ("specification", "requirements"):
        content = client.get(_at("paper-file", enquiry, paper)).content
        assert not any(secret.encode() in content for secret in secrets)
