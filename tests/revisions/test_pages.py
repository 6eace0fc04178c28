"""The pages of revisions: what they do, what they refuse, who may sign."""

import datetime
import zipfile
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from specapp.core.roles import Role
from specapp.documents.sheet_code import shown
from specapp.revisions.acceptance import FROM_MEMORY
from specapp.revisions.models import Issue, Part, PointOpened, Purpose, PurposeRule, RegisterEntry, Revision
from specapp.revisions.services.signing import accepted_lists
from specapp.revisions.views.sheets import LARGEST
from tests.documents.reading import csv_rows, text_of
from tests.factories import PASSWORD, machine_of, member
from tests.revisions.issuing import described_anew, frozen, issued, signed, signed_by_all
from tests.revisions.rows import issued_rows


@pytest.fixture
def owner(project, client):
    person = member(project, Role.OWNER)
    client.force_login(person)
    return person


def place(revision, name, *more):
    return reverse(
        f"revisions:{name}", args=[revision.machine.project_id, revision.machine_id, revision.pk, *more]
    )


def sign_form(revision, **changed):
    counts = accepted_lists(revision).counts
    form = {
        "checksum": revision.checksum,
        "password": PASSWORD,
        "accept": "on",
        "count-memory": counts[FROM_MEMORY],
        "count-placeholders": counts["placeholders"],
        "count-unopened": counts["not opened"],
    }
    return {key: value for key, value in (form | changed).items() if value is not None}


def test_from_working_to_issued_by_the_pages(owner, machine, project, client):
    where = [project.pk, machine.pk]
    client.post(
        reverse("revisions:revision-freeze", args=where), {"purpose": "REVIEW", "version": machine.version}
    )
    revision = Revision.objects.get()
    assert client.post(place(revision, "revision-sign", "PREPARED"), sign_form(revision)).status_code == 302
    revision.refresh_from_db()
    form = {
        "purpose": "REVIEW",
        "candidate": f"{revision.pk}:{revision.version}",
        "recipients": "The maker",
        "answer_by": "2026-12-24",
    }
    response = client.post(reverse("revisions:issue-new", args=[project.pk]), form)
    issue = Issue.objects.get()
    assert response.url == reverse("revisions:issue-show", args=[project.pk, issue.pk])
    assert issue.answer_by == datetime.date(2026, 12, 24)
    for name, args in (
        ("issue-show", [project.pk, issue.pk]),
        ("issue-list", [project.pk]),
        ("register-list", [project.pk]),
        ("revision-list", where),
        ("revision-show", [*where, revision.pk]),
    ):
        assert client.get(reverse(f"revisions:{name}", args=args)).status_code == 200


@pytest.mark.parametrize(
    ("changed", "status"),
    [
        ({"password": ""}, 422),
        ({"password": "wrong"}, 422),
        ({"accept": None}, 422),
        ({"checksum": "0" * 64}, 409),
        ({"checksum": None}, 409),
        ({"count-unopened": "0"}, 409),
        ({"count-unopened": "x"}, 409),
    ],
)
def test_a_signature_is_refused(changed, status, owner, machine, client):
    revision = frozen(machine)
    response = client.post(place(revision, "revision-sign", "PREPARED"), sign_form(revision, **changed))
    assert response.status_code == status
    assert not revision.signatures.exists()


def test_an_old_tab_does_not_sign(owner, machine, engineer, client):
    revision = frozen(machine)
    form = sign_form(revision)
    described_anew(machine, engineer, service="Nitrogen")
    client.post(place(revision, "revision-refreeze"), {"version": revision.version})
    assert client.post(place(revision, "revision-sign", "PREPARED"), form).status_code == 409
    assert not revision.signatures.exists()


@pytest.mark.parametrize(
    ("role", "may"),
    [
        (Role.OWNER, {"PREPARED", "CHECKED", "APPROVED"}),
        (Role.ENGINEER, {"PREPARED", "CHECKED"}),
        (Role.REVIEWER, {"CHECKED"}),
        (Role.APPROVER, {"CHECKED", "APPROVED"}),
        (Role.CLIENT, set()),
        (Role.READER, set()),
        (Role.MAKER, set()),
    ],
)
def test_each_role_signs_as_it_may(role, may, machine, project, client):
    revision = frozen(machine, Purpose.ENQUIRY)
    client.force_login(member(project, role))
    for part in Part.values:
        for method in ("get", "post"):
            status = getattr(client, method)(place(revision, "revision-sign", part)).status_code
            assert status == (403 if part not in may else {"get": 200, "post": 422}[method])
    assert client.get(place(revision, "revision-sign", "NOBODY")).status_code in (403, 404)


def test_a_moved_candidate_shows_its_signatures_void(owner, machine, engineer, client):
    revision = frozen(machine)
    signature = signed(revision)
    described_anew(machine, engineer, service="Nitrogen")
    page = client.get(place(revision, "revision-show")).content.decode()
    assert f"<s>{signature.person_name}</s> void" in page
    assert place(revision, "revision-sign", "CHECKED") not in page


def test_states_are_compared_as_was_is_why(owner, machine, engineer, project, client):
    issued_rows(machine)
    pinions = [{**machine.description["pinions"][0], "speed": "14000 rpm"}, machine.description["pinions"][1]]
    described_anew(machine, engineer, pinions=pinions)
    page = client.get(reverse("revisions:revision-compare", args=[project.pk, machine.pk])).content.decode()
    assert "speed of P1" in page
    assert "Setpoints: was, is, why" in page


def test_two_equal_states_say_so(owner, machine, project, client):
    revision = frozen(machine)
    address = reverse("revisions:revision-compare", args=[project.pk, machine.pk])
    page = client.get(address, {"was": revision.pk, "is": "working"}).content.decode()
    assert "say the same in everything" in page
    assert client.get(address, {"was": "9999999"}).status_code == 404


def test_opening_a_point_is_remembered_once(owner, machine, project, client):
    address = reverse("projects:point-show", args=[project.pk, machine.pk, "BG/B1/radial/Y"])
    client.get(address)
    client.get(address)
    assert [row.key for row in PointOpened.objects.all()] == ["BG/B1/radial/Y"]


def test_holds_are_put_and_released(owner, machine, project, client):
    where = [project.pk, machine.pk]
    item = "open point|gases"
    due = (timezone.now() + datetime.timedelta(days=9)).date().isoformat()
    form = {"item": item, "owner": "<b>maker</b>", "due_date": due}
    assert (
        client.post(reverse("revisions:hold-put", args=where), form | {"due_date": "soon"}).status_code == 422
    )
    assert client.post(reverse("revisions:hold-put", args=where), form).status_code == 302
    assert (
        "&lt;b&gt;maker&lt;/b&gt;" in client.get(reverse("revisions:hold-list", args=where)).content.decode()
    )
    hold = machine.holds.get()
    release = reverse("revisions:hold-release", args=[*where, hold.pk])
    assert client.post(release, {"reason": ""}).status_code == 422
    assert client.post(release, {"reason": "told"}).status_code == 302
    hold.refresh_from_db()
    assert hold.released_because == "told"


def test_the_archive_is_the_same_again_and_indexed(owner, machine, project, client):
    issue = issued(machine)
    address = reverse("revisions:issue-package", args=[project.pk, issue.pk])
    first = client.get(address).content
    assert client.get(address).content == first
    with zipfile.ZipFile(BytesIO(first)) as archive:
        rows = csv_rows(archive.read("index.csv"))
        assert {row["file"] for row in rows} == set(archive.namelist()) - {"index.csv"}
        (content,) = (row for row in rows if row["file"].endswith("revision.json"))
        assert content["checksum"] == issue.revisions.get().checksum
    register = client.get(reverse("revisions:register-package", args=[project.pk])).content
    with zipfile.ZipFile(BytesIO(register)) as archive:
        assert len(archive.namelist()) == len(rows)


def test_a_number_by_hand_is_kept_apart(owner, machine, project, client):
    frozen(machine)
    first, second = RegisterEntry.objects.all()[:2]
    address = reverse("revisions:register-edit", args=[project.pk, first.pk])
    form = {"number": "OWN-1", "title": "=1+1", "version": first.version}
    assert client.post(address, form | {"number": second.number}).status_code == 422
    assert client.post(address, form | {"number": "a\nb"}).status_code == 422
    assert client.post(address, form).status_code == 302
    assert client.post(address, form | {"number": "OWN-2"}).status_code == 409
    first.refresh_from_db()
    assert (first.number, first.title) == ("OWN-1", "=1+1")


def numbering_form(**changed):
    asks = {f"{purpose.lower()}-series": "NUMBERS" for purpose in Purpose.values}
    return {
        "version": "0",
        "first_letter": "b",
        "letters_left_out": "io",
        "first_number": "1",
        "number_digits": "2",
        "document_pattern": "{machine}/{sequence}",
        "transmittal_pattern": "T{sequence}",
        "review-needs_checked": "on",
        **asks,
        **changed,
    }


def test_the_owners_scheme_is_kept(owner, machine, project, client):
    address = reverse("revisions:numbering-edit", args=[project.pk])
    assert client.post(address, numbering_form()).status_code == 302
    assert PurposeRule.objects.get(purpose="REVIEW").needs_checked
    assert frozen(machine).label == "01"
    assert client.post(address, numbering_form()).status_code == 409


@pytest.mark.parametrize(
    "changed",
    [
        {"first_letter": "1"},
        {"letters_left_out": "i-"},
        {"first_number": "101"},
        {"first_number": "-1"},
        {"number_digits": "0"},
        {"document_pattern": "{machine.__class__}{sequence}"},
        {"transmittal_pattern": "T"},
        {"review-series": "ROMAN"},
    ],
)
def test_a_scheme_that_cannot_count_is_refused(changed, owner, project, client):
    address = reverse("revisions:numbering-edit", args=[project.pk])
    assert client.post(address, numbering_form(**changed)).status_code == 422


def test_a_code_opens_the_state_of_its_revision(owner, machine, client):
    document = issued_rows(machine).documents.get(key="datasheet")
    find = reverse("revisions:sheet-find")
    response = client.get(find, {"code": shown(document.code).lower()})
    assert response.url == reverse("revisions:sheet-show", args=[document.code])
    assert "<h1>Current" in client.get(response.url).content.decode()
    issued_rows(machine)
    page = client.get(response.url).content.decode()
    assert "<h1>Superseded" in page
    assert client.get(find, {"code": "O0"}).status_code == 422
    assert client.get(reverse("revisions:sheet-show", args=["22222222"])).status_code == 404


def test_a_current_sheet_tells_of_the_candidate_that_would_supersede_it(owner, machine, client):
    document = issued_rows(machine).documents.get(key="datasheet")
    address = reverse("revisions:sheet-show", args=[document.code])
    assert "is a candidate" not in client.get(address).content.decode()
    frozen(machine)
    page = client.get(address).content.decode()
    assert "<h1>Current" in page
    assert "Revision B is a candidate, not issued" in page


def upload(client, data):
    return client.post(reverse("revisions:sheet-find"), {"file": SimpleUploadedFile("x.pdf", data)})


def test_an_issued_file_says_what_it_is_and_what_has_changed(owner, machine, engineer, client):
    document = issued_rows(machine).documents.select_related("file").get(key="datasheet")
    data = bytes(document.file.content)
    assert "byte for byte" in upload(client, data).content.decode()
    pinions = [{**machine.description["pinions"][0], "speed": "14000 rpm"}, machine.description["pinions"][1]]
    described_anew(machine, engineer, pinions=pinions)
    issued_rows(machine)
    page = upload(client, data + b"% a remark").content.decode()
    assert "altered after it was issued" in page
    assert "Setpoints: was, is, why" in page


@pytest.mark.parametrize("data", [b"", b"%PDF-1.4 nothing", b"stream\nx\x9c" * 2000, b"\0" * 100])
def test_another_file_is_not_found(data, owner, client):
    assert upload(client, data).status_code == 422


def test_a_file_too_large_is_refused(owner, client, monkeypatch):
    monkeypatch.setattr("specapp.revisions.views.sheets.LARGEST", 10)
    assert LARGEST > 10
    response = upload(client, b"x" * 11)
    assert response.status_code == 422
    assert "allowed: up to" in response.content.decode()


def test_a_stranger_learns_nothing_from_a_file(machine, client, project):
    document = issued_rows(machine).documents.select_related("file").get(key="datasheet")
    other = machine_of(type(project).objects.create(name="Other", created_at=timezone.now()))
    client.force_login(member(other.project, Role.OWNER))
    assert upload(client, bytes(document.file.content)).status_code == 422
    assert client.get(reverse("revisions:sheet-show", args=[document.code])).status_code == 404


def test_the_marked_copy_says_by_what(owner, machine, project, client):
    document = issued(machine).documents.get(key="datasheet")
    address = reverse("revisions:superseded-file", args=[project.pk, document.pk])
    assert client.get(address).status_code == 404
    issued_rows(machine)
    response = client.get(address)
    assert "superseded.pdf" in response.headers["Content-Disposition"]
    assert "superseded by revision B, 2026-03-02" in text_of(response.content)


def test_a_machine_with_revisions_is_kept(owner, machine, project, client):
    frozen(machine)
    machine.refresh_from_db()
    address = reverse("projects:machine-remove", args=[project.pk, machine.pk])
    response = client.post(address, {"version": machine.version}, follow=True)
    assert response.status_code == 200
    assert type(machine).objects.filter(pk=machine.pk).exists()


def test_the_pages_cost_the_same_queries_however_much_is_issued(owner, machine, project, client):
    def counts():
        where = [project.pk, machine.pk]
        found = []
        for name, args in (("revision-list", where), ("register-list", where[:1]), ("issue-list", where[:1])):
            with CaptureQueriesContext(connection) as queries:
                client.get(reverse(f"revisions:{name}", args=args))
            found.append(len(queries))
        return found

    issued_rows(machine)
    issued_rows(machine)
    few = counts()
    for _ in range(3):
        issued_rows(machine)
    assert counts() == few


def test_construction_is_signed_by_three(machine, project):
    revision = frozen(machine, Purpose.CONSTRUCTION)
    signed_by_all(revision)
    assert revision.signatures.values_list("person").distinct().count() == 3
