"""The form of an enquiry as workbooks: one technical, one for prices; only answers can be changed.

Nothing in a file depends on who receives it: no name, no number of a bidder, no author but the project. The
lock keeps an answer in its cell; it is no secret and has no password.
"""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from math import ceil
from typing import Any, Final

from xlsxwriter.utility import xl_rowcol_to_cell

from specapp.documents.cells import workbook_text
from specapp.documents.form_pages import form_styles
from specapp.documents.workbook import PAPER, footer_text, new_workbook
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.offer_form import (
    HEAD_ROWS,
    PRICE,
    TECHNICAL,
    Column,
    FormSheet,
    price_sheets,
    technical_sheets,
)

_LINE_HEIGHT: Final = 15.0
_LETTER: Final = 1.15
_TECHNICAL_HELP: Final = (
    "Fill in the framed cells; everything else is locked. No price in this file: it would be refused.",
    "Choose a reply: complies, partial, deviates, alternative, not applicable. Then say what is offered.",
    "Name the file and page that shows it. “Noted”, “as per standard”, “as earlier job”, a blank: no reply.",
    "A line marked must keeps an offer out of the comparison if it is not met.",
    "Write decimals with a point. Do not merge, insert or move cells; formulas and macros are refused.",
)
_PRICE_HELP: Final = (
    "Fill in the framed cells; everything else is locked. This file stays sealed until prices are opened.",
    "A unit price left empty is not quoted, which is not zero. Options are in no total.",
    "Numbers are numbers, not text; do not enter formulas.",
)


def technical_form(sheet: EnquirySheet) -> bytes:
    """Return the technical form, the same bytes for the same enquiry."""
    return _form(sheet, TECHNICAL, "Technical offer", technical_sheets(sheet), _TECHNICAL_HELP)


def price_form(sheet: EnquirySheet) -> bytes:
    """Return the price form, the same bytes for the same enquiry."""
    return _form(sheet, PRICE, "Price offer", price_sheets(sheet), _PRICE_HELP)


def _form(
    sheet: EnquirySheet, mark: str, title: str, forms: Sequence[FormSheet], help_lines: Sequence[str]
) -> bytes:
    out = BytesIO()
    book = new_workbook(out, f"{title}, {sheet.reference}", sheet.project)
    styles = form_styles(book)
    _instructions(book, sheet, title, help_lines, styles)
    for form in forms:
        _sheet(book, sheet, mark, form, styles)
    book.close()
    return out.getvalue()


def _instructions(
    book: Any, sheet: EnquirySheet, title: str, help_lines: Sequence[str], styles: dict[str, Any]
) -> None:
    page = book.add_worksheet("instructions")
    page.set_column(0, 0, 22)
    page.set_column(1, 1, 100)
    page.write_string(0, 0, workbook_text(f"{title}: {sheet.title}"), styles["title"])
    lines = [
        ("Enquiry", sheet.reference),
        ("Amendment", str(sheet.amendment) if sheet.amendment else "none"),
        ("Project", sheet.project),
        ("Machines", ", ".join(sheet.asked.machines)),
        ("Closes", sheet.closes),
        ("Comparison", sheet.method),
        *((f"Weight of {group}", f"{weight:g}") for group, weight in sheet.weights),
        *(("How to fill it in" if at == 0 else "", line) for at, line in enumerate(help_lines)),
    ]
    for row, (label, text) in enumerate(lines, start=2):
        page.write_string(row, 0, workbook_text(label), styles["bold"])
        page.write_string(row, 1, workbook_text(text), styles["cell"])
    page.protect("")
    page.set_paper(PAPER["A4"])
    page.fit_to_pages(1, 0)


def _sheet(book: Any, sheet: EnquirySheet, mark: str, form: FormSheet, styles: dict[str, Any]) -> None:
    page = book.add_worksheet(form.name)
    head = (mark, f"enquiry:{sheet.reference}", f"amendment:{sheet.amendment}", f"sheet:{form.name}", "id")
    for row, text in enumerate(head):
        page.write_string(row, 0, workbook_text(text), styles["plain"])
    page.write_string(0, 1, workbook_text(f"{form.title}: {sheet.title}"), styles["title"])
    page.write_string(1, 1, workbook_text(f"{sheet.reference}, closes {sheet.closes}"), styles["plain"])
    page.write_string(2, 1, form.help_text, styles["plain"])
    for at, column in enumerate(form.columns, start=1):
        page.write_string(HEAD_ROWS - 1, at, column.heading, styles["heading"])
        page.set_column(at, at, column.width)
    page.set_column(0, 0, None, None, {"hidden": True})
    for row, (key, values) in enumerate(form.rows, start=HEAD_ROWS):
        page.write_string(row, 0, key, styles["plain"])
        page.set_row(row, _LINE_HEIGHT * _lines(form, values))
        for at, (column, value) in enumerate(zip(form.columns, values, strict=True), start=1):
            _cell(page, row, at, column, value, is_free=key in form.free, styles=styles)
    last = HEAD_ROWS + len(form.rows) - 1
    for at, column in enumerate(form.columns, start=1):
        if column.answer is not None and form.rows:
            page.data_validation(HEAD_ROWS, at, last, at, _validation(column))
    page.freeze_panes(HEAD_ROWS, 2)
    page.repeat_rows(HEAD_ROWS - 1)
    page.set_landscape()
    page.set_paper(PAPER["A4"])
    page.fit_to_pages(1, 0)
    page.set_footer(f"&L{footer_text(sheet.reference)}&C&A&RSheet &P of &N")
    page.protect("", {"format_rows": True, "select_locked_cells": True, "select_unlocked_cells": True})


def _cell(
    page: Any, row: int, at: int, column: Column, value: Any, *, is_free: bool, styles: dict[str, Any]
) -> None:
    if column.name == "total":
        # Quantity and unit price stand in the two columns before the total.
        quantity, price = (
            xl_rowcol_to_cell(row, at - 2),
            xl_rowcol_to_cell(row, at - 1),
        )
        page.write_formula(row, at, f'=IF({price}="","",{quantity}*{price})', styles["total"], "")
    elif column.answer == "number":
        page.write_blank(row, at, None, styles["number"])
    elif column.answer is not None or is_free:
        page.write_blank(row, at, None, styles["text"])
    elif isinstance(value, int | float):
        page.write_number(row, at, value, styles["cell"])
    else:
        style = styles["bold" if at == 1 else "cell"]
        page.write_string(row, at, workbook_text(value or ""), style)


def _lines(form: FormSheet, values: Sequence[Any]) -> int:
    return max(
        ceil(max(len(str(value or "")), 1) * _LETTER / column.width)
        for column, value in zip(form.columns, values, strict=True)
    )


def _validation(column: Column) -> dict[str, Any]:
    if column.choices:
        return {
            "validate": "list",
            "source": list(column.choices),
            "error_title": "Not one of the list",
            "error_message": ", ".join(column.choices)[:255],
        }
    if column.answer == "number":
        return {
            "validate": "decimal",
            "criteria": "between",
            "minimum": 0,
            "maximum": 1e12,
            "error_title": "Not a number",
            "error_message": "A number of 0 or more.",
        }
    return {
        "validate": "length",
        "criteria": "<=",
        "value": column.longest,
        "error_title": "Too long",
        "error_message": f"At most {column.longest} characters.",
    }
