"""Every sheet of anybody's workbook, with what is hidden and merged, read within fixed limits.

A sheet that is too large is told as that and keeps no other from being read.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any, Final
from zipfile import ZipFile

from openpyxl import load_workbook
from openpyxl.utils.cell import column_index_from_string

from specapp.domain.machine_table import Cell, Refused, column_letter
from specapp.domain.machine_workbook import (
    LARGEST_BYTES,
    LARGEST_UNPACKED_BYTES,
    check_archive,
    not_a_workbook,
    rows_of,
)
from specapp.domain.problems import InputErrors

MOST_SHEETS: Final = 30
_MOST_MERGED = 2000
_MERGED = re.compile(
    rb"<(?:\w{1,20}:)?mergeCell\s[^>]{0,200}?ref=\"([A-Z]{1,3})(\d{1,7}):([A-Z]{1,3})(\d{1,7})\""
)


@dataclass(frozen=True, slots=True)
class Merged:
    """Cells merged into one: its address and its first and last row and column, counted from 0."""

    address: str
    rows: tuple[int, int]
    columns: tuple[int, int]


@dataclass(frozen=True, slots=True)
class BookSheet:
    """One sheet: its rows, or why they are not read."""

    name: str
    is_hidden: bool
    rows: Sequence[Sequence[Cell]]
    merged: Sequence[Merged]
    refused: str = ""


def read_sheets(data: bytes) -> list[BookSheet]:
    """Return the sheets of a workbook in their order, hidden ones too; no more than `MOST_SHEETS`.

    Raises `InputErrors` for a file that is no workbook, or larger than allowed.
    """
    check_archive(data, LARGEST_BYTES, LARGEST_UNPACKED_BYTES)
    try:
        with ZipFile(BytesIO(data)) as archive:
            workbook = load_workbook(BytesIO(data), read_only=True, keep_links=False)
            found = [_sheet(sheet, archive) for sheet in workbook.worksheets[:MOST_SHEETS]]
    except InputErrors:
        raise
    except Exception as error:
        # As for the reader of machine lists: a hostile file fails in ways that nobody documents.
        raise not_a_workbook(type(error).__name__) from None
    if not found:
        raise not_a_workbook("no sheet of cells")
    return found


def _sheet(sheet: Any, archive: ZipFile) -> BookSheet:
    is_hidden = sheet.sheet_state != "visible"
    try:
        rows = list(rows_of(sheet))
    except InputErrors as errors:
        (problem,) = errors.problems
        told = f"found {problem.found}; allowed: {problem.allowed}"
        return BookSheet(sheet.title, is_hidden, (), (), told)
    # The reader that keeps memory small tells no merged cells; they are looked up in the sheet's own part.
    part = archive.read(sheet._worksheet_path.lstrip("/"))
    return BookSheet(sheet.title, is_hidden, rows, _merged(part))


def _merged(part: bytes) -> list[Merged]:
    found = []
    for match in _MERGED.finditer(part):
        left, top, right, bottom = (group.decode() for group in match.groups())
        columns = column_index_from_string(left) - 1, column_index_from_string(right) - 1
        rows = int(top) - 1, int(bottom) - 1
        found.append(Merged(f"{left}{top}:{right}{bottom}", rows, columns))
        if len(found) == _MOST_MERGED:
            break
    return found


@dataclass(frozen=True, slots=True)
class PartOfMerged(Refused):
    """A cell hidden under a merged one: nothing to read below a heading, but a heading it can be."""

    heading: str = ""


def with_merged(sheet: BookSheet) -> list[list[Cell]]:
    """Return the rows of a sheet with every cell under a merged one told as that."""
    rows = [list(row) for row in sheet.rows]
    for merged in sheet.merged:
        top, left = merged.rows[0], merged.columns[0]
        first = rows[top][left] if top < len(rows) and left < len(rows[top]) else None
        if first is None:
            continue
        text = "" if isinstance(first, Refused) else str(first)
        address = f"{column_letter(left)}{top + 1}"
        told = PartOfMerged(
            f"a part of the merged cells {merged.address}",
            f"a cell of its own: take the merging off, and repeat what {address} says where it holds",
            text,
        )
        for number in range(top, min(merged.rows[1] + 1, len(rows))):
            row = rows[number]
            width = merged.columns[1] + 1
            # Beyond the last filled cell of a sheet nothing is covered that anybody would read.
            row += [None] * (min(width, _widest(sheet)) - len(row))
            for index in range(left, min(width, len(row))):
                if (number, index) != (top, left):
                    row[index] = told
    return rows


def _widest(sheet: BookSheet) -> int:
    return max(map(len, sheet.rows), default=0)
