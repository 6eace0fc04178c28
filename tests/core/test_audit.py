"""The record of what was done: append-only, each entry resting on the one before."""

from io import StringIO

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import connection

from specapp.core.audit import COMMAND_LINE, entry_append, entry_digest
from specapp.core.models import AppendOnlyError, AuditEntry
from tests.factories import NOW, UserFactory

pytestmark = pytest.mark.django_db


def append(author, action="person.named"):
    subject = author or UserFactory()
    return entry_append(author=author, action=action, subject=subject, now=NOW, data={"name": "µm"})


def test_entries_form_a_chain():
    person = UserFactory()
    first, second = append(person), append(person)
    assert first.previous_digest == "0" * 64
    assert second.previous_digest == first.digest
    for entry in AuditEntry.objects.all():
        assert entry_digest(entry) == entry.digest


def test_content_changed_behind_the_program_no_longer_fits_its_digest():
    entry = append(UserFactory())
    entry.refresh_from_db()
    entry.action = "person.removed"
    assert entry_digest(entry) != entry.digest


def test_entries_are_neither_changed_nor_deleted():
    entry = append(UserFactory())
    for attempt in (entry.save, entry.delete, AuditEntry.objects.all().delete):
        with pytest.raises(AppendOnlyError):
            attempt()
    with pytest.raises(AppendOnlyError):
        AuditEntry.objects.update(action="x")


def test_without_a_person_the_entry_names_the_command_line():
    assert append(None).actor_name == COMMAND_LINE


def run(sql, *values):
    """Write to the record behind the program's back."""
    with connection.cursor() as cursor:
        cursor.execute(sql, values)


def check(*arguments):
    """Return the exit status of the command, and what it prints."""
    out, err = StringIO(), StringIO()
    try:
        call_command("check_audit", *arguments, stdout=out, stderr=err)
    except SystemExit as end:
        return end.code, err.getvalue()
    return 0, out.getvalue()


@pytest.fixture
def entries():
    person = UserFactory()
    return [append(person, f"machine.{name}") for name in ("create", "update", "update", "remove")]


_COLUMNS = (
    "at, actor_id, actor_name, action, object_type, object_id, object_name, project_id, data, "
    "previous_digest, digest"
)


def changed(entries):
    run("UPDATE core_auditentry SET actor_name = 'Somebody' WHERE id = %s", entries[1].pk)
    return entries[1]


def content_changed(entries):
    run("""UPDATE core_auditentry SET data = '{"name": "x"}' WHERE id = %s""", entries[2].pk)
    return entries[2]


def deleted(entries):
    run("DELETE FROM core_auditentry WHERE id = %s", entries[1].pk)
    return entries[2]


def inserted(entries):
    run("UPDATE core_auditentry SET id = id + 1000 WHERE id > %s", entries[1].pk)
    run(
        f"INSERT INTO core_auditentry (id, {_COLUMNS}) SELECT id + 1, {_COLUMNS.removesuffix('digest')} %s "
        "FROM core_auditentry WHERE id = %s",
        "f" * 64,
        entries[1].pk,
    )
    entries[1].pk += 1
    return entries[1]


def reordered(entries):
    first, second = entries[1].pk, entries[2].pk
    run("UPDATE core_auditentry SET id = %s WHERE id = %s", -1, first)
    run("UPDATE core_auditentry SET id = %s WHERE id = %s", first, second)
    run("UPDATE core_auditentry SET id = %s WHERE id = %s", second, -1)
    return entries[1]


@pytest.mark.parametrize("meddle", [changed, content_changed, deleted, inserted, reordered])
def test_what_was_done_to_the_record_by_sql_is_found_with_its_first_entry(entries, meddle):
    assert check()[0] == 0
    first_that_does_not_fit = meddle(entries)
    code, told = check()
    assert code == 1
    assert f"entry {first_that_does_not_fit.pk} " in told


def test_missing_last_entries_are_found(entries):
    run("DELETE FROM core_auditentry WHERE id = %s", entries[-1].pk)
    code, told = check()
    assert code == 1
    assert "the last entries are missing" in told


def test_a_record_computed_anew_does_not_hold_the_digest_noted_before(entries):
    noted = entries[1].digest
    assert check("--expect", noted)[0] == 0
    person = UserFactory()
    run("DELETE FROM core_auditentry")
    run("DELETE FROM core_audithead")
    append(person)
    assert check()[0] == 0
    code, told = check("--expect", noted)
    assert code == 1
    assert "computed anew" in told


def test_no_administration_site_reaches_the_record():
    assert "django.contrib.admin" not in settings.INSTALLED_APPS
    assert not apps.is_installed("django.contrib.admin")


def test_a_refused_action_is_recorded_and_a_flood_of_them_is_not(client):
    person = UserFactory()
    client.force_login(person)
    for _ in range(25):
        assert client.get("/people/").status_code == 403
    told = AuditEntry.objects.filter(action="access.refuse", actor=person)
    assert told.count() == 20
    assert told.first().object_name == "GET /people/"
