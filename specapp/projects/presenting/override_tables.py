"""Overrides as tables: those in force with what may be done about each, those undone or replaced."""

from collections.abc import Iterable
from datetime import datetime

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.core.time_zone import moment_text
from specapp.documents.wording import words
from specapp.projects.access import Access
from specapp.projects.models import Machine, Override
from specapp.projects.presenting.decisions import OverrideLine
from specapp.projects.presenting.tables import ACTION, Column, Row, Table, filed, joined, small

_WRITTEN = ("By", "Written")
FORM = "answers"  # of the page, with the version that is answered
# Beside how it stands, so that both are seen on a phone before the reason.
_ANSWERS_AT = 4
_GONE = "Nothing in this proposal goes by that key."


def override_table(label: str, lines: Iterable[OverrideLine], access: Access, machine: Machine) -> Table:
    """Return overrides as they stand; its buttons belong to the form that posts the version."""
    columns = [
        Column("Item", filed=("Item", "Tags")),
        Column("Field"),
        Column("Set to", "number", filed=("Set to", "Rule gives", "Rule gave")),
        Column("Stands", filed=("Stands", "Note")),
        Column("Reason", "says", filed=("Reason", *_WRITTEN)),
    ]
    if access.may_edit_machines:
        columns.insert(_ANSWERS_AT, Column("Answer", ACTION))
    return Table(label, columns, [_row(line, access, machine) for line in lines], is_narrow=False)


def _row(line: OverrideLine, access: Access, machine: Machine) -> Row:
    place = [machine.project_id, machine.pk]
    key = escape(line.key)
    if line.point:
        key = f'<a href="{reverse("projects:point-show", args=[*place, line.point])}">{key}</a>'
    rule = f"rule {line.rule}"
    if line.state == "confirm again" and line.was_rule != line.rule:
        rule += f", was {line.was_rule}"
    by, when = line.row.author, moment_text(line.row.written_at)
    cells: list[str] = [
        filed(joined([SafeString(key), small(line.tags)]), line.key, line.tags),
        words(line.field),
        filed(joined([line.value, small(rule)]), line.value, line.rule, line.was_rule),
        _stands(line),
        filed(joined([line.row.reason, small(f"{by}, {when}")]), line.row.reason, str(by), when),
    ]
    if access.may_edit_machines:
        answers = ["confirm", "undo"] if line.state == "confirm again" else ["undo"]
        cells.insert(_ANSWERS_AT, joined([_button(line, answer, place) for answer in answers], " "))
    return Row(cells, "needs" if line.needs_you else "")


def _stands(line: OverrideLine) -> SafeString:
    if line.state == "in force":
        return filed("in force", "in force", line.note)
    is_gone = line.state != "confirm again"
    told = "its item is gone" if is_gone else "to be confirmed again"
    note = line.note or (_GONE if is_gone else "")
    return filed(
        joined([SafeString(f'<span class="needs-you">{told}</span>'), small(note)]),
        told,
        note,
    )


def _button(line: OverrideLine, answer: str, place: list[int]) -> SafeString:
    address = reverse("projects:override-answer", args=[*place, line.row.pk, answer])
    label = f"{answer.capitalize()} {line.field} of {line.key}"
    return SafeString(
        f'<button form="{FORM}" formaction="{address}" class="as-link" aria-label="{escape(label)}">'
        f"{answer.capitalize()}</button>"
    )


def history_table(history: Iterable[tuple[Override, str]]) -> Table:
    """Return overrides undone or replaced, each with its value in words."""
    columns = (
        Column("Item"),
        Column("Field"),
        Column("Was set to", "number"),
        Column("Reason"),
        Column("By", "nowrap", filed=_WRITTEN),
        Column("Undone", "nowrap", filed=("Undone by", "Undone")),
    )
    rows = [
        Row(
            (
                row.item,
                words(row.field),
                value,
                row.reason,
                _by(row.author, row.written_at),
                _by(row.undone_by, row.undone_at),
            )
        )
        for row, value in history
    ]
    return Table("Undone or replaced", columns, rows)


def _by(person: object, at: datetime) -> SafeString:
    when = moment_text(at)
    return filed(joined([str(person), small(when)]), str(person), when)
