"""The workbook: every schedule on a sheet of its own, with real numbers and filters.

Text is written as text whatever it looks like: nothing in it becomes a formula or a link.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from io import BytesIO
from typing import Any, Final

import xlsxwriter

from specapp.documents.cells import Cell, workbook_text
from specapp.documents.front import CAUTION_LINE, title_block
from specapp.documents.options import Options, PageSize
from specapp.documents.schedules import WORKBOOK_SCHEDULES, Schedule
from specapp.documents.sheet import TitleBlock
from specapp.domain.proposal import Proposal

TITLE: Final = "Bill of materials and schedules"

# A document reads no clock: the file says this date, the title sheet says when it was issued.
CREATED: Final = datetime(2000, 1, 1, tzinfo=UTC)
PAPER: Final[dict[PageSize, int]] = {"A4": 9, "A3": 8, "Letter": 1, "Tabloid": 17}
_WIDEST: Final = 60
_NARROWEST: Final = 7


def render(proposal: Proposal, options: Options) -> bytes:
    """Return the workbook, the same bytes for the same proposal and options."""
    return write_workbook(proposal, options, TITLE, WORKBOOK_SCHEDULES)


def write_workbook(
    proposal: Proposal, options: Options, title: str, makers: Iterable[Callable[[Proposal], Schedule]]
) -> bytes:
    """Return a workbook of these schedules, a sheet each, and a last sheet with title block and cautions."""
    out = BytesIO()
    block = title_block(proposal, options, title)
    book = new_workbook(
        out,
        f"{title}, {block.machine}",
        block.project,
        comments=CAUTION_LINE,
        default_date_format="yyyy-mm-dd",
    )
    formats = {
        "head": book.add_format({"bold": True, "bottom": 2, "text_wrap": True, "valign": "bottom"}),
        "cell": book.add_format({"text_wrap": True, "valign": "top", "bottom": 4}),
        "bold": book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 4}),
    }
    footer = f"&L{footer_text(block.machine)}, {footer_text(block.standing)}&C&A&RSheet &P of &N"
    for make in makers:
        _sheet(book, make(proposal), formats, options, footer)
    _about(book, proposal, block, formats)
    book.close()
    return out.getvalue()


def new_workbook(
    out: BytesIO, title: str = "", author: str = "", *, comments: str = "", **options: Any
) -> xlsxwriter.Workbook:
    """Return a workbook in which text stays text: nothing in it becomes a formula or a link."""
    as_text = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = xlsxwriter.Workbook(out, {"in_memory": True, **as_text, **options})
    book.set_properties(
        {
            "title": workbook_text(title),
            "author": workbook_text(author or "specapp"),
            "comments": comments,
            "created": CREATED,
        }
    )
    return book


def footer_text(text: str) -> str:
    """Return text for a footer, in which an ampersand starts a code; a footer holds 255 characters."""
    return workbook_text(text)[:60].replace("&", "&&")


def _sheet(book: Any, schedule: Schedule, formats: dict[str, Any], options: Options, footer: str) -> None:
    sheet = book.add_worksheet(schedule.name)
    sheet.freeze_panes(1, schedule.fixed)
    sheet.set_landscape()
    sheet.set_paper(PAPER[options.page_size])
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.set_footer(footer)
    sheet.set_margins(left=0.4, right=0.4, top=0.4, bottom=0.6)
    last = len(schedule.headings) - 1
    for column, heading in enumerate(schedule.headings):
        sheet.write_string(0, column, workbook_text(heading), formats["head"])
        sheet.set_column(column, column, _width(heading, [row[column] for row in schedule.rows]))
    sheet.autofilter(0, 0, max(len(schedule.rows), 1), last)
    for number, row in enumerate(schedule.rows, 1):
        for column, cell in enumerate(row):
            _write(sheet, number, column, cell, formats["bold" if column < schedule.fixed else "cell"])


def _write(sheet: Any, row: int, column: int, cell: Cell, style: Any) -> None:
    if cell is None or cell == "":
        sheet.write_blank(row, column, None, style)
    elif isinstance(cell, bool):
        sheet.write_boolean(row, column, cell, style)
    elif isinstance(cell, str):
        sheet.write_string(row, column, workbook_text(cell), style)
    else:
        sheet.write_number(row, column, cell, style)


def _width(heading: str, cells: list[Cell]) -> float:
    """Return a column width in characters: the longest cell within bounds, a heading may wrap."""
    longest = max((len(str(cell)) for cell in cells if cell is not None), default=0)
    word = max(map(len, heading.split()), default=0) + 2
    return float(min(max(longest + 1, word, _NARROWEST), _WIDEST))


def _about(book: Any, proposal: Proposal, block: TitleBlock, formats: dict[str, Any]) -> None:
    """Write the title block and the cautions on a last sheet."""
    sheet = book.add_worksheet("About")
    sheet.set_column(0, 0, 22)
    sheet.set_column(1, 1, 100)
    lines = [
        ("Machine", block.machine),
        ("Project", block.project),
        ("Title", block.title),
        ("Standing", block.standing),
        ("Revision", block.revision),
        ("Date", block.date),
        ("Prepared", block.prepared),
        ("Checked", block.checked),
        ("Approved", block.approved),
        ("Setting units", block.setting_units),
        ("To be confirmed", block.to_confirm),
        ("Rulebook", proposal.rulebook_version),
        ("Criteria", proposal.criteria_digest),
        *(("Caution", caution) for caution in proposal.cautions),
    ]
    for row, (label, text) in enumerate(lines):
        sheet.write_string(row, 0, label, formats["bold"])
        sheet.write_string(row, 1, workbook_text(text), formats["cell"])
