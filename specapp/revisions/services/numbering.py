"""The owner's scheme of a project, and the numbers taken by it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Max

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.documents.registry import DOCUMENTS
from specapp.projects.models import Machine, Project
from specapp.revisions.errors import Refused, Stale
from specapp.revisions.models import (
    Issue,
    Numbering,
    Part,
    Purpose,
    PurposeRule,
    RegisterEntry,
    Revision,
    Series,
)
from specapp.revisions.numbering import Scheme, number_by

CHANGE_NOTE = "change_note"
# Beside the registry's own documents each revision has a note of its changes.
DOCUMENT_TITLES: Mapping[str, str] = {
    **{key: document.title for key, document in DOCUMENTS.items()},
    CHANGE_NOTE: "Change note",
}


@dataclass(frozen=True, slots=True)
class Asks:
    """What a purpose asks for."""

    series: str
    needs_checked: bool
    needs_approved: bool
    is_gated: bool

    @property
    def parts(self) -> tuple[str, ...]:
        """The signatures needed; somebody has always prepared it."""
        wanted = {Part.CHECKED: self.needs_checked, Part.APPROVED: self.needs_approved}
        return (Part.PREPARED, *(part for part, is_needed in wanted.items() if is_needed))


DEFAULTS: Mapping[str, Asks] = {
    Purpose.REVIEW: Asks(Series.LETTERS, False, False, False),
    Purpose.APPROVAL: Asks(Series.LETTERS, True, False, False),
    Purpose.ENQUIRY: Asks(Series.LETTERS, True, True, False),
    Purpose.CONSTRUCTION: Asks(Series.NUMBERS, True, True, True),
    Purpose.AS_BUILT: Asks(Series.NUMBERS, True, True, True),
}


def numbering_of(project: Project) -> Numbering:
    """Return the project's scheme, the defaults where none is set."""
    return Numbering.objects.filter(project=project).first() or Numbering(project=project, version=0)


def asked_of(project: Project) -> dict[str, Asks]:
    """Return what each purpose asks for in a project."""
    own = {
        row.purpose: Asks(row.series, row.needs_checked, row.needs_approved, row.is_gated)
        for row in PurposeRule.objects.filter(project=project)
    }
    return {purpose: own.get(purpose, default) for purpose, default in DEFAULTS.items()}


def purpose_words(purpose: str) -> str:
    """Return how a sheet says what it is issued for."""
    label = Purpose(purpose).label
    return f"issued {label}" if purpose == Purpose.AS_BUILT else f"issued for {label}"


@transaction.atomic
def numbering_set(
    *,
    project: Project,
    expected_version: int,
    fields: Mapping[str, Any],
    asks: Mapping[str, Asks],
    author: User,
    now: datetime,
) -> Numbering:
    """Store the owner's scheme. Raises `Stale` where somebody else has stored one since."""
    locked = Project.objects.select_for_update().get(pk=project.pk)
    row = numbering_of(locked)
    if row.version != expected_version:
        raise Stale("Somebody else changed the numbering meanwhile. What is stored now is shown below.")
    was = {name: getattr(row, name) for name in fields} | {"asks": _plain(asked_of(locked))}
    for name, value in fields.items():
        setattr(row, name, value)
    row.version += 1
    row.full_clean()
    row.save()
    for purpose, each in asks.items():
        PurposeRule.objects.update_or_create(
            project=locked,
            purpose=purpose,
            defaults={
                "series": each.series,
                "needs_checked": each.needs_checked,
                "needs_approved": each.needs_approved,
                "is_gated": each.is_gated,
            },
        )
    entry_append(
        author=author,
        action="numbering.set",
        subject=row,
        now=now,
        project_id=locked.pk,
        data={"was": was, "is": {**fields, "asks": _plain(asks)}},
    )
    return row


def _plain(asks: Mapping[str, Asks]) -> dict[str, list[Any]]:
    return {
        purpose: [each.series, each.needs_checked, each.needs_approved, each.is_gated]
        for purpose, each in asks.items()
    }


def next_label(machine: Machine, series: str) -> tuple[int, str]:
    """Return place and label of the next revision of a locked machine; a number once taken stays taken."""
    scheme = Scheme.of(numbering_of(machine.project))
    rows = Revision.objects.filter(machine=machine)
    sequence = (rows.filter(series=series).aggregate(last=Max("sequence"))["last"] or 0) + 1
    taken = set(rows.values_list("label", flat=True))
    # The scheme may have changed since earlier revisions; their labels are not used again.
    while (label := scheme.label(series, sequence)) in taken:
        sequence += 1
    return sequence, label


def next_issue(project: Project) -> tuple[int, str]:
    """Return place and number of the next transmittal of a locked project."""
    pattern = numbering_of(project).transmittal_pattern
    issues = Issue.objects.filter(project=project)
    sequence = (issues.aggregate(last=Max("sequence"))["last"] or 0) + 1
    while True:
        number = number_by(pattern, {"project": _project_part(project), "sequence": f"{sequence:04d}"})
        if not issues.filter(number=number).exists():
            return sequence, number
        sequence += 1


def register_ensure(machine: Machine) -> dict[str, RegisterEntry]:
    """Return the register entries of a locked machine, those that were missing numbered by the pattern."""
    entries = {entry.key: entry for entry in machine.register.all()}
    missing = [key for key in DOCUMENT_TITLES if key not in entries]
    if not missing:
        return entries
    project = machine.project
    pattern = numbering_of(project).document_pattern
    taken = set(RegisterEntry.objects.filter(project=project).values_list("number", flat=True))
    for key in missing:
        sequence = len(entries) + 1
        number = number_by(
            pattern,
            {
                "project": _project_part(project),
                "machine": machine.tag,
                "document": key,
                "sequence": f"{sequence:03d}",
            },
        )[:70]
        wanted, again = number, 2
        while wanted in taken:
            wanted, again = f"{number}-{again}", again + 1
        taken.add(wanted)
        entries[key] = RegisterEntry.objects.create(project=project, machine=machine, key=key, number=wanted)
    return entries


def _project_part(project: Project) -> str:
    return project.number or f"P{project.pk}"


@transaction.atomic
def register_number(
    *, entry: RegisterEntry, expected_version: int, number: str, title: str, author: User, now: datetime
) -> RegisterEntry:
    """Give a document the owner's number and title by hand. What is issued keeps the number it had.

    Raises `Refused` where another document has the number, `Stale` where the entry was changed since.
    """
    Project.objects.select_for_update().get(pk=entry.project_id)
    row = RegisterEntry.objects.get(pk=entry.pk)
    if row.version != expected_version:
        raise Stale("Somebody else changed this number meanwhile. What is stored now is shown below.")
    others = RegisterEntry.objects.filter(project=row.project_id, number=number).exclude(pk=row.pk)
    if others.exists():
        raise Refused(f"Found {number}; allowed is a number that no other document of this project has.")
    was = {"number": row.number, "title": row.title}
    row.number, row.title, row.version = number, title, row.version + 1
    row.full_clean()
    row.save()
    entry_append(
        author=author,
        action="register.number",
        subject=row,
        now=now,
        project_id=row.project_id,
        data={
            "machine": row.machine_id,
            "key": row.key,
            "was": was,
            "is": {"number": number, "title": title},
        },
    )
    return row
