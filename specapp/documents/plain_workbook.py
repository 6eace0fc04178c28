"""Lists as a workbook without a title block: a sheet a list, text as text, numbers as numbers."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO

from specapp.documents.cells import workbook_text
from specapp.documents.schedules import Schedule
from specapp.documents.workbook import new_workbook


def plain_workbook(sheets: Sequence[Schedule]) -> bytes:
    """Return the lists as a workbook; nothing in it becomes a formula or a link."""
    out = BytesIO()
    book = new_workbook(out)
    bold = book.add_format({"bold": True, "bottom": 2})
    for sheet in sheets:
        page = book.add_worksheet(sheet.name)
        page.freeze_panes(1, sheet.fixed)
        for index, head in enumerate(sheet.headings):
            page.write_string(0, index, workbook_text(head), bold)
            page.set_column(index, index, _width(sheet, index))
        for number, row in enumerate(sheet.rows, 1):
            for index, cell in enumerate(row):
                if isinstance(cell, str):
                    page.write_string(number, index, workbook_text(cell))
                elif cell is not None:
                    page.write(number, index, cell)
    book.close()
    return out.getvalue()


def _width(sheet: Schedule, index: int) -> int:
    """Return a column's width in characters: its heading whole, its cells as far as 50 characters."""
    longest = max((len(str(row[index])) for row in sheet.rows if index < len(row)), default=0)
    return max(12, len(sheet.headings[index]) + 2, min(50, longest + 2))
