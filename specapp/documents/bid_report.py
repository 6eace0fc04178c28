"""The report of a comparison of bids: PDF to sign and workbook to count in, from the same tables.

It prints what the evaluation found and judges nothing itself. It is for the purchaser's own people: it names
every bidder and every price.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import Any, Final

from specapp.documents.book import Book
from specapp.documents.cells import Cell, workbook_text
from specapp.documents.options import Options
from specapp.documents.sheet import TitleBlock
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE
from specapp.documents.workbook import PAPER, footer_text, new_workbook
from specapp.evaluation.amounts import amount_text

TITLE: Final = "Comparison of bids"
_CAUTION: Final = (
    "For the purchaser's own people. Assumptions are named where they stand; local law comes first."
)
_WIDE: Final = 7  # columns from which a table lies across
_SIGN_LINE: Final = (
    "Name                                              Date                              Signature"
)


@dataclass(frozen=True, slots=True)
class ReportTable:
    """A table with a heading and a sentence before it; numbers stay numbers in the workbook."""

    name: str
    title: str
    note: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class BidReport:
    """What the report says. Dates are ISO dates in the project's time zone."""

    reference: str
    title: str
    project: str
    machines: str
    date: str
    standing: str
    prepared: str
    summary: tuple[str, ...]
    tables: tuple[ReportTable, ...]
    signing: tuple[str, ...]
    name: str = TITLE


def render_pdf(report: BidReport, options: Options) -> bytes:
    """Return the report as PDF, the same bytes for the same report and options."""
    block = TitleBlock(
        project=report.project,
        machine=report.machines,
        title=f"{report.reference} {report.name}",
        revision="",
        date=report.date,
        standing=report.standing,
        setting_units=NONE,
        to_confirm=NONE,
        prepared=report.prepared,
        checked="",
        approved="",
    )
    book = Book(options, block, (_CAUTION,), subject="Offers compared and evaluated", cover=False)
    book.section(f"{report.name}, {report.reference}", landscape=False, numbered=False)
    book.paragraph(report.title)
    for line in report.summary:
        book.paragraph(line)
    for table in report.tables:
        book.turn(landscape=len(table.columns) >= _WIDE)
        book.heading(table.title, with_next=70)
        if table.note:
            book.paragraph(table.note, after=2)
        columns = tuple(
            Column(
                heading, "right" if _is_money(table, place) else "left", repeat=place == 0, bold=place == 0
            )
            for place, heading in enumerate(table.columns)
        )
        if table.rows:
            set_table(book, Table(columns, [tuple(map(_text, row)) for row in table.rows], size=7.2))
        else:
            book.paragraph("None.")
    if report.signing:
        book.turn(landscape=False)
        book.heading("Signed", with_next=90)
    for part in report.signing:
        book.paragraph(f"{part}:")
        book.paragraph(_SIGN_LINE, after=14)
    return book.finish()


def _is_money(table: ReportTable, place: int) -> bool:
    cells = [row[place] for row in table.rows if place < len(row)]
    return any(isinstance(cell, float) for cell in cells)


def _text(cell: Cell) -> str:
    if cell is None or cell == "":
        return NONE
    return amount_text(cell) if isinstance(cell, float) else str(cell)


def render_workbook(report: BidReport, options: Options) -> bytes:
    """Return the report as workbook, a sheet a table; text is text whatever it looks like."""
    out = BytesIO()
    book = new_workbook(out, f"{report.name}, {report.reference}")
    head = book.add_format({"bold": True, "bottom": 2, "text_wrap": True, "valign": "bottom"})
    cell = book.add_format({"text_wrap": True, "valign": "top", "bottom": 4})
    money = book.add_format({"num_format": "#,##0", "valign": "top", "bottom": 4})
    first = book.add_worksheet("Summary")
    first.set_column(0, 0, 24)
    first.set_column(1, 1, 100)
    lines = (
        ("Enquiry", report.reference),
        ("Title", report.title),
        ("Project", report.project),
        ("Machines", report.machines),
        ("Standing", report.standing),
        ("Date", report.date),
        *(("", line) for line in report.summary),
        ("", _CAUTION),
    )
    for number, (label, text) in enumerate(lines):
        first.write_string(number, 0, label, head if label else cell)
        first.write_string(number, 1, workbook_text(text), cell)
    for table in report.tables:
        _sheet(book, table, (head, cell, money), options, report)
    book.close()
    return out.getvalue()


def _sheet(book: Any, table: ReportTable, formats: Any, options: Options, report: BidReport) -> None:
    head, cell, money = formats
    sheet = book.add_worksheet(table.name)
    sheet.freeze_panes(1, 1)
    sheet.set_landscape()
    sheet.set_paper(PAPER[options.page_size])
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.set_footer(f"&L{footer_text(report.reference)}, {footer_text(report.standing)}&C&A&RSheet &P of &N")
    for place, heading in enumerate(table.columns):
        sheet.write_string(0, place, workbook_text(heading), head)
        longest = max([len(str(row[place])) for row in table.rows if row[place] is not None] or [0])
        sheet.set_column(place, place, min(max(longest + 2, len(heading) + 2, 10), 50))
    sheet.autofilter(0, 0, max(len(table.rows), 1), len(table.columns) - 1)
    for number, row in enumerate(table.rows, 1):
        for place, value in enumerate(row):
            if value is None or value == "":
                sheet.write_blank(number, place, None, cell)
            elif isinstance(value, int | float) and not isinstance(value, bool):
                sheet.write_number(number, place, value, money)
            else:
                sheet.write_string(number, place, workbook_text(str(value)), cell)
