"""The criteria of a project: defaults, the owner's values over them, and what is confirmed."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.criteria.criterion import FROM_MEMORY, Criterion
from specapp.criteria.loader import load_defaults
from specapp.documents.wording import with_criterion_unit
from specapp.projects.models import CriterionConfirmation, ProjectCriterion
from specapp.projects.presenting.reader import status_mark
from specapp.projects.presenting.tables import Column, GroupRow, Row, Table, joined, small

ALL, SET_HERE, UNCONFIRMED = "all", "set", "unconfirmed"
SHOWN = {ALL: "All", SET_HERE: "Set here", UNCONFIRMED: "From memory, not confirmed"}
_COLUMNS = (
    Column("Criterion"),
    Column("Default", "number"),
    Column("Set here", "number"),
    Column("Source", "says"),
    Column("Standing"),
)


@dataclass(frozen=True, slots=True)
class CriterionLine:
    """One criterion as a project sees it; `confirmed` only by those who saw the value of today."""

    criterion: Criterion
    own: ProjectCriterion | None
    confirmed: tuple[CriterionConfirmation, ...]

    @property
    def is_unconfirmed(self) -> bool:
        return self.criterion.status == FROM_MEMORY and not self.confirmed and self.own is None

    @property
    def default_text(self) -> str:
        return with_criterion_unit(self.criterion.value, self.criterion.unit)

    @property
    def own_text(self) -> str:
        return with_criterion_unit(self.own.value, self.criterion.unit) if self.own else ""

    @property
    def source(self) -> str:
        return ", ".join(part for part in (self.criterion.source, self.criterion.edition) if part)


def criterion_lines(
    own: Iterable[ProjectCriterion], confirmed: Iterable[CriterionConfirmation]
) -> list[CriterionLine]:
    """Return every criterion with what the project says about it."""
    rows = {row.key: row for row in own}
    by_key: dict[str, list[CriterionConfirmation]] = {}
    for row in confirmed:
        by_key.setdefault(row.key, []).append(row)
    return [
        CriterionLine(
            each,
            rows.get(each.key),
            tuple(row for row in by_key.get(each.key, ()) if row.value == each.value),
        )
        for each in load_defaults()
    ]


def criterion_table(lines: Iterable[CriterionLine], shown: str, project_id: int) -> Table:
    """Return the criteria by their first word, those asked for."""
    rows: list[Row | GroupRow] = []
    group = ""
    for line in lines:
        if (shown == SET_HERE and line.own is None) or (shown == UNCONFIRMED and not line.is_unconfirmed):
            continue
        head = line.criterion.key.partition(".")[0]
        if head != group:
            group = head
            rows.append(GroupRow(head.replace("_", " ")))
        rows.append(_row(line, project_id))
    return Table("Criteria", _COLUMNS, rows, is_narrow=False)


def _row(line: CriterionLine, project_id: int) -> Row:
    criterion = line.criterion
    link = reverse("projects:criterion-edit", args=[project_id, criterion.key])
    name = SafeString(f'<a href="{link}">{escape(criterion.key)}</a>')
    confirmed = [small(f"confirmed by {each.by}, {each.on}, {each.edition}") for each in line.confirmed]
    own = [line.own_text, small(line.own.reason)] if line.own else []
    return Row(
        (
            joined([name, small(criterion.title)]),
            line.default_text,
            joined(own),
            joined([line.source or "–"]),
            joined([joined([criterion.status, status_mark(criterion.status)], " "), *confirmed]),
        )
    )
