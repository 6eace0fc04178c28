"""Revisions, issues, the register and the hold list as files, of the rows that their pages show."""

from collections.abc import Iterable
from datetime import date, datetime

from django.utils import timezone

from specapp.documents.schedules import Schedule
from specapp.revisions.models import HoldItem, Issue, Revision
from specapp.revisions.selectors import RegisterMachine


def _day(told: date | None) -> str | None:
    if isinstance(told, datetime):
        told = timezone.localtime(told)
    return f"{told:%Y-%m-%d}" if told else None


def issues_schedule(rows: Iterable[tuple[Issue, datetime | None]]) -> Schedule:
    """Return the transmittals that a reader sees, with when he or she received each."""
    cells = [
        (
            issue.number,
            _day(issue.issued_on),
            issue.get_purpose_display(),
            ", ".join(f"{row.machine.tag} {row.label}" for row in issue.revisions.all()),
            issue.recipients,
            _day(issue.answer_by),
            issue.issued_by_name,
            _day(received),
        )
        for issue, received in rows
    ]
    headings = ("Number", "Date", "For", "Machines", "To", "Answer by", "By", "Received by you")
    return Schedule("Transmittals", headings, cells)


def register_schedule(machines: Iterable[RegisterMachine]) -> Schedule:
    """Return every document with what is current of it and what that superseded."""
    cells = []
    for each in machines:
        for row in each.rows:
            now = row.current
            cells.append(
                (
                    each.machine.tag,
                    row.entry.number,
                    row.title,
                    now.revision.label if now else None,
                    now.issue.get_purpose_display() if now else None,
                    _day(now.issue.issued_on) if now else None,
                    f"{now.code[:4]}-{now.code[4:]}" if now else None,
                    ", ".join(old.revision.label for old, _ in row.earlier),
                )
            )
    headings = ("Machine", "Number", "Title", "Revision", "Issued for", "Date", "Sheet code", "Superseded")
    return Schedule("Register of documents", headings, cells, fixed=2)


def holds_schedule(holds: Iterable[tuple[HoldItem, bool, bool]]) -> Schedule:
    """Return what is on hold, with whether it is settled meanwhile and overdue."""
    cells = [
        (
            hold.text,
            hold.kind,
            hold.key,
            hold.owner,
            _day(hold.due_date),
            is_late,
            is_settled,
            str(hold.written_by),
            _day(hold.written_at),
        )
        for hold, is_settled, is_late in holds
    ]
    headings = ("What", "Kind", "Key", "Who settles it", "By", "Overdue", "Settled", "Put by", "Put on")
    return Schedule("On hold", headings, cells)


def revisions_schedule(rows: Iterable[tuple[Revision, Revision | None]]) -> Schedule:
    """Return the revisions of a machine with what replaced each."""
    cells = [
        (
            row.label,
            row.get_state_display(),
            row.get_purpose_display(),
            _day(row.frozen_at),
            str(row.frozen_by),
            row.issue.number if row.issue else None,
            _day(row.issue.issued_on) if row.issue else None,
            newer.label if newer else None,
        )
        for row, newer in rows
    ]
    headings = ("Revision", "State", "For", "Frozen", "Frozen by", "Issue", "Issued on", "Superseded by")
    return Schedule("Revisions", headings, cells)
