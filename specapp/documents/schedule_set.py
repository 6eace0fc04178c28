"""The field schedules as drawing sheets and as a workbook, from the same rows."""

from __future__ import annotations

from typing import Final

from specapp.documents.book import Book
from specapp.documents.cells import Cell
from specapp.documents.field_schedules import FIELD_SCHEDULES
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.options import Options
from specapp.documents.row_marks import About
from specapp.documents.schedules import Schedule
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE, number
from specapp.documents.workbook import write_workbook
from specapp.domain.proposal import Proposal

TITLE: Final = "Schedules of boxes, cables, relays, alarms and data link"

_INTRODUCED: Final = {
    "Boxes": ("Junction boxes", "One line a box; each train has the same boxes."),
    "Terminals": (
        "Terminals",
        "Wires in the order of the terminals; shields run through on terminals of their own, unearthed here.",
    ),
    "Cables": ("Cables", "One cable a point. Lengths are the run told, without spare length."),
    "Relays": ("Relays", "Causes are voting groups; each is in cause and effect with its level."),
    "Alarm list": (
        "Alarm list of the control system",
        "One line a cause and level. Priorities are set by the owner's alarm philosophy.",
    ),
    "Data link": (
        "Registers of the read-only data link",
        (
            "Addresses count from 0 within a rack and are a proposal; the supplier's map replaces them. "
            "No setting can be changed over the link, and no trip passes it."
        ),
    ),
}
_NOTHING: Final = {
    "Relays": "No relays: alarms and trips act in the control system.",
    "Data link": "No data link: there is no rack.",
}
_BOLD: Final = frozenset({"Tag", "Tags", "Box", "Cable", "Relay", "Address"})
_NAMES_ITEM: Final = {
    "Point": ("points", "point_fields", "ranges", "transducers"),
    "Cause": ("points", "setpoints"),
}
_WIDEST: Final = {
    "Point": 130.0,
    "Voting groups": 240.0,
    "What it does": 200.0,
    "Effects": 150.0,
    "Message": 150.0,
    "Setting": 95.0,
    "Meaning": 210.0,
    "Cause": 110.0,
    "Required marking": 150.0,
}


def render(proposal: Proposal, options: Options) -> bytes:
    """Return the schedules as PDF, the same bytes for the same proposal and options."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal),
        subject="Schedules for wiring and for the control system",
        cover=False,
    )
    for make in FIELD_SCHEDULES:
        _section(book, make(proposal))
    return book.finish()


def render_workbook(proposal: Proposal, options: Options) -> bytes:
    """Return the same schedules as a workbook."""
    return write_workbook(proposal, options, TITLE, FIELD_SCHEDULES)


def _section(book: Book, schedule: Schedule) -> None:
    title, introduction = _INTRODUCED[schedule.name]
    book.section(title, landscape=True, with_next=120)
    if not schedule.rows:
        book.paragraph(_NOTHING.get(schedule.name, "None."))
        return
    book.paragraph(introduction)
    columns = tuple(
        Column(
            heading,
            "right" if _is_figures(schedule, index) else "left",
            repeat=index < schedule.fixed,
            bold=heading in _BOLD,
            widest=_WIDEST.get(heading, 120.0),
        )
        for index, heading in enumerate(schedule.headings)
    )
    rows = [tuple(map(_text, row)) for row in schedule.rows]
    kept = [_kept(columns, rows, row) for row in rows]
    set_table(book, Table(_used(columns, rows), kept, about=_about(book, schedule)))


def _about(book: Book, schedule: Schedule) -> list[About]:
    """Return what the rows are about where a column names a point or the voting group that is the cause."""
    column = next((heading for heading in _NAMES_ITEM if heading in schedule.headings), None)
    if column is None:
        return []
    index, subjects = schedule.headings.index(column), _NAMES_ITEM[column]
    items = [str(row[index] or "") for row in schedule.rows]
    return [About(item, any(book.options.changed(each, item) for each in subjects)) for item in items]


def _is_silent(rows: list[tuple[str, ...]], index: int) -> bool:
    return all(row[index] == NONE for row in rows)


def _used(columns: tuple[Column, ...], rows: list[tuple[str, ...]]) -> tuple[Column, ...]:
    """Return the columns in which some row says something: without trains there is no train."""
    return tuple(column for index, column in enumerate(columns) if not _is_silent(rows, index))


def _kept(columns: tuple[Column, ...], rows: list[tuple[str, ...]], row: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(cell for index, cell in enumerate(row) if not _is_silent(rows, index))


def _is_figures(schedule: Schedule, index: int) -> bool:
    cells = [row[index] for row in schedule.rows if row[index] is not None]
    return bool(cells) and all(isinstance(cell, int | float) for cell in cells)


def _text(cell: Cell) -> str:
    return NONE if cell is None or cell == "" else number(cell)
