"""The register: files by content, downloads that cannot run, and what rests on an earlier revision."""

from urllib.parse import urlencode

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.projects.deciding.setpoint_values import GivenValue, Provenance, setpoint_values_write
from specapp.projects.models import Machine, SetpointValue
from specapp.projects.services import machine_remove
from specapp.references.errors import NumberTaken, RevisionTaken
from specapp.references.files import LARGEST_BYTES, LONGEST_NAME, FileKind, kept_file
from specapp.references.models import Attachment, DocumentRevision, ReferenceDocument
from specapp.references.resting import resting_on_earlier
from specapp.references.services import document_revise
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.references.filled import PDF, filled, registered, with_file

pytestmark = pytest.mark.django_db
SOURCE = {"document": "GA-118", "revision": "1", "page": "3", "state": "quoted"}
PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 20


@pytest.fixture
def project():
    project = ProjectFactory()
    member(project, Role.OWNER)
    return project


@pytest.fixture
def engineer(project, client):
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return person


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (PDF, FileKind.PDF),
        (b"\xef\xbb\xbf\n" + PDF, FileKind.PDF),
        (PNG, FileKind.PNG),
        (b"\xff\xd8\xff\xe0abc", FileKind.JPEG),
        ("tag;alarm\nVE-1;30 µm\n".encode(), FileKind.CSV),
    ],
)
def test_the_content_tells_the_kind_and_the_name_does_not(content, kind):
    assert kept_file("../../etc/pass wd.exe", content).name == f"pass-wd.{kind}"
    assert kept_file("x.html", content).kind == kind


def test_a_workbook_is_known_by_what_is_in_it(project):
    assert kept_file("a.bin", filled(machine_of(project), {})).kind == FileKind.XLSX


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"<html><script>1,2</script>",
        b"  <svg xmlns='x'>a,b</svg>",
        b"#!/bin/sh,\n",
        b"MZ\x90\0binary",
        b"one word",
        b"a,b\x07c",
        b"PK\x03\x04 no archive",
        b"AC1032 a drawing",
        b"\xd0\xcf\x11\xe0old office",
        PDF + b"x" * (LARGEST_BYTES - len(PDF) + 1),
    ],
)
def test_other_content_is_refused_whatever_its_name(content):
    with pytest.raises(InputErrors) as caught:
        kept_file("drawing.pdf", content)
    assert caught.value.problems[0].path == "file"


@pytest.mark.parametrize("name", ["", "...", "/", "漢字.pdf", 'a"\r\nX: y.pdf', "n" * 500 + ".pdf"])
def test_a_name_can_do_no_harm(name):
    safe = kept_file(name, PDF).name
    assert len(safe) <= LONGEST_NAME
    assert safe.endswith(".pdf")
    assert all(char.isascii() and (char.isalnum() or char in "-._") for char in safe)
    assert not safe.startswith((".", "-"))


def test_a_file_of_the_largest_size_is_kept():
    assert kept_file("a", PDF + b"x" * (LARGEST_BYTES - len(PDF))).kind == FileKind.PDF


def test_a_file_is_a_download_under_its_safe_name(project, engineer, client):
    row = with_file(registered(project), b"<!-- -->%PDF-1.7 <script>", "evil.html")
    response = client.get(reverse("references:file-show", args=[project.pk, row.pk]))
    assert response["Content-Disposition"] == 'attachment; filename="evil.pdf"'
    assert response["Content-Type"] == "application/octet-stream"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert b"".join(response.streaming_content) == b"<!-- -->%PDF-1.7 <script>"
    assert row.file.name.startswith(f"references/{project.pk}/")
    assert "evil" not in row.file.name
    row.file.delete(save=False)
    assert client.get(reverse("references:file-show", args=[project.pk, row.pk])).status_code == 404


def test_a_file_of_another_project_is_not_found(project, engineer, client):
    other = ProjectFactory()
    member(other, Role.OWNER)
    row = with_file(registered(other))
    assert client.get(reverse("references:file-show", args=[project.pk, row.pk])).status_code == 404


def told(**more):
    return {
        "number": "GA-118",
        "title": "General arrangement",
        "kind": "ARRANGEMENT",
        "revision": "2",
        "received_on": "2026-03-01",
        "received_by": "A. Person",
        **more,
    }


def test_a_document_is_entered_with_its_file(project, engineer, client):
    address = reverse("references:document-new", args=[project.pk])
    file = SimpleUploadedFile("ga.exe", PDF, content_type="text/html")
    assert client.post(address, told(file=file)).status_code == 302
    row = Attachment.objects.get()
    assert (row.kind, row.size, row.name) == ("pdf", len(PDF), "ga.pdf")
    actions = AuditEntry.objects.filter(action__startswith="reference.").values_list("action", flat=True)
    assert list(actions) == ["reference.register", "reference.revise", "reference.attach"]
    page = client.get(reverse("references:document-show", args=[project.pk, row.revision.document_id]))
    assert row.sha256 in page.content.decode()
    assert client.post(address, told(number="ga-118")).status_code == 422
    assert ReferenceDocument.objects.count() == 1


def test_a_file_that_is_refused_leaves_nothing_behind(project, engineer, client):
    file = SimpleUploadedFile("ga.pdf", b"<html>")
    response = client.post(reverse("references:document-new", args=[project.pk]), told(file=file))
    assert response.status_code == 422
    assert "file" in response.context["form"].errors
    assert not ReferenceDocument.objects.exists()


def test_numbers_and_revisions_are_once(project):
    document = registered(project, revisions=("A",))
    with pytest.raises(NumberTaken):
        registered(project, number="ga-118")
    with pytest.raises(RevisionTaken):
        from_document(document, "a")


def from_document(document, revision):
    return document_revise(
        document=document,
        revision=revision,
        dated=None,
        received_on=NOW.date(),
        received_by="x",
        author=document.entered_by,
        now=NOW,
    )


def machine_with_sources(project, **changed):
    machine = machine_of(
        project, tag="K-1", title="Air", sources={"title": SOURCE, "stage_count": SOURCE}, **changed
    )
    setpoint_values_write(
        machine=machine,
        expected_version=machine.version,
        values=[GivenValue("BG/B1/radial", "trip", 40.0, None, "um")],
        provenance=Provenance("MAKERS", "ga-118", "1", "the maker", NOW.date()),
        author=machine.created_by,
        now=NOW,
    )
    return machine


def test_a_new_revision_lists_what_rests_on_the_old_one(project):
    machine_with_sources(project)
    document = registered(project, revisions=("1",))
    assert resting_on_earlier(document, document.revisions.last()) == []
    current = from_document(document, "2")
    found = {(each.kind, each.what, each.value) for each in resting_on_earlier(document, current)}
    assert found == {
        ("fact", "Title", "Air"),
        ("fact", "Number of stages", "4"),
        ("setpoint", "trip of BG/B1/radial", "40 um"),
    }


def test_what_stands_alike_is_carried_over_under_the_machines_version(project, engineer, client):
    machine = machine_with_sources(project)
    document = registered(project, revisions=("1", "2"))
    current = document.revisions.last()
    keys = [each.key for each in resting_on_earlier(document, current) if each.what != "Number of stages"]
    address = reverse("references:document-carry", args=[project.pk, document.pk])
    assert (
        client.post(address, {f"version-{machine.pk}": machine.version + 1, "rests": keys}).status_code == 409
    )
    # A number of more digits than Python reads is no version and no machine.
    for name, version in ((f"version-{'9' * 5000}", "1"), (f"version-{machine.pk}", "9" * 5000)):
        body = urlencode({name: version, "rests": keys}, doseq=True)
        answer = client.post(address, body, content_type="application/x-www-form-urlencoded")
        assert answer.status_code == 409
    assert Machine.objects.get(pk=machine.pk).description == machine.description
    assert client.post(address, {f"version-{machine.pk}": machine.version, "rests": keys}).status_code == 302
    (left,) = resting_on_earlier(document, current)
    assert left.what == "Number of stages"
    stored = Machine.objects.get(pk=machine.pk)
    assert stored.description["sources"]["title"] == {**SOURCE, "revision": "2"}
    assert stored.version == machine.version + 1
    assert [row.revision for row in SetpointValue.objects.all()] == ["1", "2"]
    assert client.post(address, {f"version-{machine.pk}": 1, "rests": keys}).status_code == 422


def test_a_removed_machine_leaves_its_documents_in_the_register(project):
    machine = machine_of(project)
    document = registered(project, machine)
    machine_remove(machine=machine, author=document.entered_by, now=NOW)
    document.refresh_from_db()
    assert document.machine is None
    assert DocumentRevision.objects.filter(document=document).exists()


def test_the_register_costs_the_same_queries_however_long(
    project, engineer, client, django_assert_num_queries
):
    page = reverse("references:document-list", args=[project.pk])
    with_file(registered(project))
    with django_assert_num_queries(6):
        assert client.get(page).status_code == 200
    for number in range(5):
        with_file(registered(project, number=f"D-{number}", revisions=("1", "2")))
    with django_assert_num_queries(6):
        assert client.get(page, {"q": ""}).status_code == 200
    assert len(client.get(page, {"q": "d-3"}).context["lines"]) == 1
