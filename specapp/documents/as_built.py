"""The as-built setpoint schedule: specified and as left, with every difference explained or open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from specapp.documents.book import Book
from specapp.documents.cells import Cell
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.marks import BAR
from specapp.documents.options import Options
from specapp.documents.schedules import Schedule
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE, prose, true_minus
from specapp.documents.workbook import write_workbook
from specapp.domain.display import number_text
from specapp.domain.proposal import Proposal
from specapp.kernel.units import UNITS

TITLE: Final = "As-built setpoint schedule"
_HEADINGS: Final = (
    "Tag",
    "Setpoint",
    "Level",
    "Unit",
    "Specified",
    "Specified low",
    "As left",
    "As left low",
    "State",
    "Reason",
    "Change no.",
    "Explained by",
    "Left by, document, day",
    "Gap voltages, V",
)


@dataclass(frozen=True, slots=True)
class AsBuiltRow:
    """A setpoint as printed; numbers in `unit`, texts as people entered them."""

    tags: str
    item: str
    level: str
    unit: str
    specified: float | None
    specified_low: float | None
    left: float | None
    left_low: float | None
    state: str
    reason: str
    change_number: str
    explained_by: str
    left_by: str
    gaps: str

    @property
    def unit_symbol(self) -> str:
        return UNITS[self.unit].symbol if self.unit in UNITS else self.unit

    @property
    def specified_text(self) -> str:
        return _sides(self.specified, self.specified_low)

    @property
    def left_text(self) -> str:
        return _sides(self.left, self.left_low)


def schedule(rows: Sequence[AsBuiltRow]) -> Schedule:
    """Return the schedule as typed rows, for workbook and comma-separated files."""
    return Schedule("as built", _HEADINGS, [_cells(row) for row in rows])


def _cells(row: AsBuiltRow) -> tuple[Cell, ...]:
    return (
        row.tags,
        row.item,
        row.level,
        row.unit,
        row.specified,
        row.specified_low,
        row.left,
        row.left_low,
        row.state,
        row.reason or None,
        row.change_number or None,
        row.explained_by or None,
        row.left_by or None,
        row.gaps or None,
    )


def workbook(proposal: Proposal, rows: Sequence[AsBuiltRow], options: Options) -> bytes:
    """Return the schedule as a workbook."""
    return write_workbook(proposal, options, TITLE, [lambda _: schedule(rows)])


_COLUMNS: Final = (
    Column("Tag", bold=True, widest=80),
    Column("Setpoint", widest=90),
    Column("Level"),
    Column("Specified", "right"),
    Column("As left", "right"),
    Column("Unit"),
    Column("State"),
    Column("Reason", widest=150),
    Column("Change no.", widest=70),
    Column("Explained by", widest=80),
    Column("Left by, document, day", widest=110),
    Column("Gap, V", widest=80),
)


def render(proposal: Proposal, rows: Sequence[AsBuiltRow], options: Options) -> bytes:
    """Return the schedule as PDF, the same bytes for the same rows."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal)[:1],
        subject="Setpoints specified and as left, differences explained or open",
        cover=False,
    )
    book.section("Setpoints", landscape=True, with_next=110)
    states = [row.state for row in rows]
    book.paragraph(
        f"{len(rows)} setpoints: {states.count('as specified')} as specified, {states.count('explained')} "
        f"explained, {states.count('open')} open, {states.count('not entered')} not entered."
    )
    set_table(book, Table(_COLUMNS, [_printed(row) for row in rows]))
    return book.finish()


def _printed(row: AsBuiltRow) -> tuple[str, ...]:
    state = f"{BAR} {row.state}" if row.state in ("open", "not entered") else row.state
    return (
        row.tags,
        row.item,
        row.level,
        row.specified_text,
        row.left_text,
        row.unit_symbol,
        state,
        prose(row.reason) or NONE,
        prose(row.change_number) or NONE,
        prose(row.explained_by) or NONE,
        prose(row.left_by) or NONE,
        true_minus(row.gaps) or NONE,
    )


def _sides(value: float | None, low: float | None) -> str:
    if value is None:
        return NONE
    high = number_text(value)
    return high if low is None else true_minus(f"{high} / {number_text(low)}")
