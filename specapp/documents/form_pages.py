"""What workbooks to be filled in have in common: their styles, and a page that is locked but for answers."""

from __future__ import annotations

from typing import Any

from specapp.documents.options import PageSize
from specapp.documents.workbook import PAPER, footer_text


def form_styles(book: Any) -> dict[str, Any]:
    """Return the styles of a form by name; `answer` and `text` are cells to write in."""
    text = {"text_wrap": True, "valign": "top", "bottom": 4}
    answer = {"text_wrap": True, "valign": "top", "border": 1, "locked": False}
    return {
        "title": book.add_format({"bold": True, "font_size": 14}),
        "plain": book.add_format({}),
        "heading": book.add_format({"bold": True, "bottom": 2, "text_wrap": True, "valign": "bottom"}),
        "cell": book.add_format(text),
        "bold": book.add_format({**text, "bold": True, "align": "left"}),
        "answer": book.add_format(answer),
        # Text, so that a date, a code "01" or a value stays as typed.
        "text": book.add_format({**answer, "num_format": "@"}),
        "number": book.add_format({**answer, "num_format": "#,##0.##"}),
        "total": book.add_format({**text, "num_format": "#,##0.00"}),
    }


def head_row(page: Any, row: int, headings: tuple[str, ...], fixed: int, style: Any) -> None:
    """Write the headings, repeated on every sheet of paper and kept in sight with the first columns."""
    for column, heading in enumerate(headings):
        page.write_string(row, column, heading, style)
    page.freeze_panes(row + 1, fixed)
    page.repeat_rows(row)


def lay_out(page: Any, widths: tuple[float, ...], size: PageSize, machine: str, standing: str) -> None:
    """Set columns (one of width 0 is hidden), paper and footer; lock what is not to be written in."""
    for column, width in enumerate(widths):
        page.set_column(column, column, width or None, None, {} if width else {"hidden": True})
    page.set_landscape()
    page.set_paper(PAPER[size])
    page.fit_to_pages(1, 0)
    page.set_footer(f"&L{footer_text(machine)}, {footer_text(standing)}&RSheet &P of &N")
    page.protect("", {"format_rows": True, "select_locked_cells": True, "select_unlocked_cells": True})
