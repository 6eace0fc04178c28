"""The record of what was done: append-only, each entry resting on the one before."""

import pytest

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
