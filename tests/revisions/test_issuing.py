"""Issues: rendered once and stored; nothing that happens later changes them."""

import hashlib
from datetime import timedelta

import pytest
from django.db import DatabaseError, transaction
from django.db.models import ProtectedError

from specapp.core.models import AuditEntry
from specapp.documents.registry import DOCUMENTS
from specapp.documents.sheet_code import code_in
from specapp.projects.deciding.ground import machine_proposal
from specapp.revisions.content import bytes_of, content_bytes, decided
from specapp.revisions.errors import GateClosed, Refused, Stale
from specapp.revisions.gate import gate_items
from specapp.revisions.models import Issue, IssuedDocument, Purpose, Revision, Signature, StoredFile
from specapp.revisions.services.holds import hold_put, hold_release
from specapp.revisions.services.issuing import Sending
from specapp.revisions.services.numbering import CHANGE_NOTE
from tests.documents.reading import text_of
from tests.factories import NOW, ProjectFactory, machine_of
from tests.revisions.issuing import described_anew, frozen, held, issued, sent, signed, signed_by_all


@pytest.fixture
def issue(machine):
    return issued(machine)


def test_every_document_is_stored_with_its_checksum_and_its_code(issue):
    rows = list(issue.documents.select_related("file"))
    assert {row.key for row in rows} == {*DOCUMENTS, CHANGE_NOTE, "transmittal"}
    for row in rows:
        data = bytes(row.file.content)
        assert hashlib.sha256(data).hexdigest() == row.file_id
        if row.filename.endswith(".pdf"):
            assert code_in(data) == row.code


def test_sheets_say_revision_purpose_day_and_signatures(issue):
    row = issue.documents.get(key="datasheet")
    text = text_of(bytes(row.file.content))
    signature = issue.revisions.get().signatures.get()
    # 09:30 UTC on 2 March is still the 2nd in Auckland, 22:30.
    for expected in ("issued for review", "2026-03-02", signature.person_name, row.number, row.code[:4]):
        assert expected in text


def test_the_day_is_that_of_the_projects_time_zone(machine):
    late = NOW.replace(hour=13)
    assert issued(machine, now=late).issued_on.isoformat() == "2026-03-03"


def test_nothing_later_changes_what_was_issued(issue, machine, engineer):
    row = issue.documents.get(key="datasheet")
    before = bytes(row.file.content)
    described_anew(machine, engineer, service="Nitrogen")
    again = issued(machine)
    row.refresh_from_db()
    assert bytes_of(row.file_id) == before
    new, old = again.revisions.get(), issue.revisions.get()
    assert new.replaces == old
    assert old.replaced_by == new
    note = text_of(bytes(again.documents.get(key=CHANGE_NOTE).file.content))
    assert "Revision B in place of A" in note
    assert "Nitrogen" in note


SEALED = [
    lambda: StoredFile.objects.update(size=1),
    lambda: StoredFile.objects.all().delete(),
    lambda: IssuedDocument.objects.update(number="x"),
    lambda: IssuedDocument.objects.all()._raw_delete("default"),
    lambda: Issue.objects.update(note="x"),
    lambda: Revision.objects.update(label="Z"),
    lambda: Revision.objects.update(state="CANDIDATE", issue=None),
    lambda: Signature.objects.update(person_name="x"),
    lambda: Signature.objects.all()._raw_delete("default"),
]


def test_the_database_refuses_to_change_what_was_issued(issue):
    # One issue for all of them: to issue is what takes the time.
    for act in SEALED:
        with pytest.raises((DatabaseError, ProtectedError)), transaction.atomic():
            act()


def test_a_machine_that_was_issued_cannot_go(issue, machine):
    with pytest.raises(ProtectedError):
        machine.delete()


def test_the_same_content_gives_the_same_bytes(machine):
    machine.refresh_from_db()
    rows, proposal = decided(machine), machine_proposal(machine)
    data = content_bytes(machine, rows, proposal)
    assert data == content_bytes(machine, rows, proposal)
    assert bytes_of(frozen(machine).checksum) == data


def test_construction_waits_for_the_hold_list(machine):
    revision = frozen(machine, Purpose.CONSTRUCTION)
    signed_by_all(revision)
    with pytest.raises(GateClosed, match="not on the hold list"):
        sent([revision])
    held(revision)
    issue = sent([revision])
    assert "the maker, by 2026-04-01" in text_of(bytes(issue.documents.get(key="transmittal").file.content))


def test_a_released_hold_closes_the_gate_again(machine, engineer):
    revision = frozen(machine, Purpose.CONSTRUCTION)
    signed_by_all(revision)
    held(revision)
    hold_release(hold=machine.holds.first(), reason="mistaken", author=engineer, now=NOW)
    with pytest.raises(GateClosed, match="1 unsettled"):
        sent([revision])


def test_a_hold_is_put_once_and_not_into_the_past(machine, engineer):
    item = gate_items(machine_proposal(machine))[0]
    given = {"machine": machine, "item": item, "owner": "maker", "author": engineer, "now": NOW}
    with pytest.raises(Refused, match="allowed is a due date from today on"):
        hold_put(due_date=NOW.date() - timedelta(days=1), **given)
    hold_put(due_date=NOW.date(), **given)
    with pytest.raises(Refused, match="already"):
        hold_put(due_date=NOW.date(), **given)


def test_an_unsigned_or_changed_candidate_is_not_issued(machine, engineer):
    revision = frozen(machine)
    with pytest.raises(Refused, match="not signed as prepared"):
        sent([revision])
    seen = revision.version
    signed(revision)
    with pytest.raises(Stale):
        sent([revision], chosen={revision.pk: seen})
    with pytest.raises(Refused, match="frozen for review"):
        sent([revision], purpose=Purpose.APPROVAL)
    described_anew(machine, engineer, service="Nitrogen")
    with pytest.raises(Stale, match="void"):
        sent([revision])
    assert not Issue.objects.exists()


def test_a_candidate_is_issued_once(machine):
    revision = frozen(machine)
    signed(revision)
    seen = {revision.pk: revision.version}
    sent([revision])
    with pytest.raises(Stale):
        sent([revision], chosen=seen)


def test_another_projects_candidate_is_not_issued_here(machine):
    revision = frozen(machine_of(ProjectFactory()))
    signed(revision)
    with pytest.raises(Stale):
        sent([revision], project=machine.project)


def test_an_issue_is_recorded_with_every_checksum(issue):
    entry = AuditEntry.objects.get(action="revision.issue")
    assert entry.data["documents"] == {row.filename: row.file_id for row in issue.documents.all()}


def test_hostile_texts_print_as_they_are(project, engineer):
    machine = machine_of(project, author=engineer, tag="K 1/b", service="<b>=1+1</b>")
    revision = frozen(machine)
    signed(revision)
    recipients = "<img src='file:///etc/hostname'> & Co"
    issue = sent([revision], sending=Sending(recipients))
    assert recipients in text_of(bytes(issue.documents.get(key="transmittal").file.content))
    for row in issue.documents.all():
        assert row.filename.replace("-", "").replace("_", "").replace(".", "").isalnum()
