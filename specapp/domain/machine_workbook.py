"""A machine list as a workbook (.xlsx), read cell by cell within fixed limits.

Only the sheet named "machines" is read, or the first where none has that name. Formulas are refused: the
value stored beside one may be older than the cells it was made from, or absent.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, time, timedelta
from io import BytesIO
from typing import Any

from openpyxl import load_workbook
from openpyxl.cell.cell import ERROR_CODES
from openpyxl.xml import DEFUSEDXML

from specapp.domain.archives import parts_of
from specapp.domain.machine_table import MOST_COLUMNS, MOST_ROWS, Cell, Refused
from specapp.domain.problems import DOCUMENT, InputErrors, Problem, shown

LARGEST_BYTES = 10_000_000
LARGEST_UNPACKED_BYTES = 50_000_000
SHEET = "machines"
_VALUE = "a number or a text"
_MOST_SHEET_ROWS = 2 * MOST_ROWS  # leaves room for empty rows between the machines

if not DEFUSEDXML:
    raise ImportError("workbooks are read only with defusedxml installed, which refuses hostile entities")


def read_workbook(data: bytes) -> Iterator[list[Cell]]:
    """Return the rows of the sheet of machines.

    Raises `InputErrors` for a file that is no workbook, or larger, longer or wider than allowed.
    """
    check_archive(data, LARGEST_BYTES, LARGEST_UNPACKED_BYTES)
    return _rows(data)


def check_archive(data: bytes, largest_bytes: int, largest_unpacked_bytes: int) -> list[str]:
    """Return the names of the parts of a workbook, before any of them is unpacked.

    Raises `InputErrors` for a file that is no archive, or larger, packed or unpacked, than allowed.
    """
    if len(data) > largest_bytes:
        raise _refuse(f"{len(data)} bytes", f"a workbook of at most {largest_bytes} bytes")
    entries = parts_of(data)
    if entries is None:
        raise not_a_workbook()
    unpacked = sum(entry.file_size for entry in entries)
    if unpacked > largest_unpacked_bytes:
        raise _refuse(
            f"{unpacked} bytes when unpacked", f"at most {largest_unpacked_bytes} bytes when unpacked"
        )
    return [entry.filename for entry in entries]


def _rows(data: bytes) -> Iterator[list[Cell]]:
    try:
        workbook = load_workbook(BytesIO(data), read_only=True, keep_links=False)
        sheets = workbook.worksheets
        sheet = next((each for each in sheets if each.title.strip().casefold() == SHEET), sheets[0])
        yield from rows_of(sheet)
    except InputErrors:
        raise
    except Exception as error:
        # A broken or hostile file makes the reader fail in ways it does not document; whatever they
        # are, the answer is that the file cannot be read.
        raise not_a_workbook(type(error).__name__) from None


def rows_of(sheet: Any) -> Iterator[list[Cell]]:
    """Return the rows of a sheet opened for reading; raises `InputErrors` where it is too long or wide."""
    sheet.reset_dimensions()
    for number, values in enumerate(sheet.iter_rows(values_only=True), start=1):
        if number > _MOST_SHEET_ROWS:
            raise _refuse(f"more than {_MOST_SHEET_ROWS} rows", f"at most {MOST_ROWS} machines in a table")
        yield _row(number, values)


def _row(number: int, values: tuple[Any, ...]) -> list[Cell]:
    cells = [read_cell(value) for value in values]
    while cells and cells[-1] is None:
        cells.pop()
    if len(cells) > MOST_COLUMNS:
        raise _refuse(f"{len(cells)} columns in row {number}", f"at most {MOST_COLUMNS} columns")
    return cells


def read_cell(value: Any) -> Cell:
    """Return a cell as it may be read; formulas, errors, dates and times are refused."""
    if isinstance(value, str):
        if value.startswith("="):
            return Refused(f"a formula, {shown(value)}", f"{_VALUE}: paste the value instead of the formula")
        return Refused(f"the error {value}", _VALUE) if value in ERROR_CODES else value
    if value is None or isinstance(value, bool | int | float):
        return value
    if isinstance(value, date | time | timedelta):
        return Refused(f"a date or time, {value}", f"{_VALUE}: set the format of the cell to text")
    return Refused("a formula", f"{_VALUE}: paste the value instead of the formula")


def not_a_workbook(reason: str = "") -> InputErrors:
    """Return the refusal of a file that is no workbook."""
    detail = f" ({reason})" if reason else ""
    return _refuse(f"a file that cannot be read as a workbook{detail}", "a workbook saved as .xlsx")


def _refuse(found: str, allowed: str) -> InputErrors:
    return InputErrors([Problem(DOCUMENT, found, allowed)])
