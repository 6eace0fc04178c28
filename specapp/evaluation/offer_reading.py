"""A filled form that came back, read cell by cell within fixed limits: everything, or every problem.

Nothing is taken from a file with a problem. Locked cells are held against what was issued, so a requirement
that somebody reworded is told with its cell.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Final
from zipfile import ZipFile

from openpyxl import load_workbook

from specapp.domain.machine_table import Cell, Refused, column_letter
from specapp.domain.machine_workbook import check_archive, not_a_workbook, read_cell
from specapp.domain.problems import DOCUMENT, InputErrors, Problem, shown
from specapp.domain.scalars import bad_character
from specapp.evaluation.offer_form import HEAD_ROWS, Column, FormSheet, Value
from specapp.evaluation.sheet_cells import Raw, SheetCells, read_cells

LARGEST_BYTES: Final = 5_000_000
LARGEST_UNPACKED_BYTES: Final = 30_000_000
MOST_PROBLEMS: Final = 200
_MACROS: Final = re.compile(r"(?:vbaProject\.bin|\.bas|xl/macrosheets/.*)$", re.IGNORECASE)
_MONEY: Final = re.compile(
    r"(?:[$€£¥]\s?\d|\d\s?[$€£¥]|\b(?:USD|EUR|GBP|JPY|CNY|INR|CHF|AUD|CAD|SGD|KRW|AED|SAR)\s?\d|"
    r"\d\s?(?:USD|EUR|GBP|JPY|CNY|INR|CHF|AUD|CAD|SGD|KRW|AED|SAR)\b|\b(?:unit|total|net|lump sum) price\b)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class FormRow:
    """A row as answered: the values by column name, and the cell its answers begin in."""

    key: str
    values: Mapping[str, Value]
    place: str


@dataclass(frozen=True, slots=True)
class Form:
    """A form without problems: its rows by sheet."""

    rows: Mapping[str, tuple[FormRow, ...]]


def read_form(
    data: bytes,
    mark: str,
    reference: str,
    amendment: int,
    sheets: Sequence[FormSheet],
    *,
    refuse_prices: bool,
) -> Form:
    """Return the answers of a form of this enquiry.

    Raises `InputErrors` with every problem, each at its cell, as in "requirements!G12".
    """
    names = check_archive(data, LARGEST_BYTES, LARGEST_UNPACKED_BYTES)
    if any(_MACROS.search(name) for name in names):
        raise _refuse("a workbook with macros, whatever its name", "the form as it was sent, saved as .xlsx")
    reader = _Reader(mark, reference, amendment, refuse_prices=refuse_prices)
    try:
        reader.read(data, sheets)
    except InputErrors:
        raise
    except Exception as error:
        # A broken or hostile file makes the reader fail in ways it does not document; whatever they
        # are, the answer is that the file cannot be read.
        raise not_a_workbook(type(error).__name__) from None
    if reader.problems:
        raise InputErrors(reader.problems[:MOST_PROBLEMS])
    return Form(reader.rows)


def _refuse(found: str, allowed: str) -> InputErrors:
    return InputErrors([Problem(DOCUMENT, found, allowed)])


class _Reader:
    def __init__(self, mark: str, reference: str, amendment: int, *, refuse_prices: bool) -> None:
        self._head = (mark, f"enquiry:{reference}", f"amendment:{amendment}")
        self._refuse_prices = refuse_prices
        self.problems: list[Problem] = []
        self.rows: dict[str, tuple[FormRow, ...]] = {}

    def read(self, data: bytes, sheets: Sequence[FormSheet]) -> None:
        workbook = load_workbook(BytesIO(data), read_only=True, keep_links=False)
        given = {each.title: each for each in workbook.worksheets}
        missing = [each.name for each in sheets if each.name not in given]
        if missing:
            raise _refuse(
                f"no sheet named {', '.join(missing)}", "the form as it was sent, with all its sheets"
            )
        dates = frozenset(workbook._date_formats) | frozenset(workbook._timedelta_formats)
        with ZipFile(BytesIO(data)) as archive:
            for form in sheets:
                sheet = given[form.name]
                most = HEAD_ROWS + len(form.rows) + 50
                with archive.open(sheet._worksheet_path) as part:
                    self._sheet(form, read_cells(part, sheet._shared_strings, dates, most), most)

    def _problem(self, place: str, found: str, allowed: str) -> None:
        if len(self.problems) <= MOST_PROBLEMS:
            self.problems.append(Problem(place, found, allowed))

    def _sheet(self, form: FormSheet, given: SheetCells, most: int) -> None:
        for number, allowed in enumerate(self._head, start=1):
            self._head_cell(form, number, given.rows.get(number, {}).get(1), allowed)
        for place in given.merged:
            # Merged cells hide answers: the form has none.
            self._problem(f"{form.name}!{place}", "merged cells", "cells as they were sent, not merged")
        expected = dict(form.rows)
        found: dict[str, FormRow] = {}
        widest = len(form.columns) + 1
        letters = [column_letter(at) for at in range(widest)]
        for number, values in given.rows.items():
            cells = [read_cell(values.get(at)) for at in range(1, widest + 1)]
            far = next((at for at, value in values.items() if at > widest and value not in (None, "")), None)
            if far is not None:
                self._problem(
                    f"{form.name}!{column_letter(far - 1)}{number}",
                    "something outside the form",
                    f"nothing right of column {letters[-1]}",
                )
            if number <= HEAD_ROWS:
                continue
            key = cells[0] if isinstance(cells[0], str) else ""
            if key in expected:
                if key in found:
                    self._problem(f"{form.name}!A{number}", f"a second row of {key}", "each row once")
                else:
                    found[key] = self._row(form, key, expected[key], cells, letters, number)
            elif any(cell not in (None, "") for cell in cells):
                self._problem(
                    f"{form.name}!A{number}", "a row that the form does not have", "the rows as sent"
                )
        if given.rows_beyond is not None:
            place = f"{form.name}!A{given.rows_beyond}"
            self._problem(place, "rows below the form", f"at most {most} rows")
        for key in expected:
            if key not in found:
                self._problem(form.name, f"the row of {key} is missing", "every row of the form as sent")
        self.rows[form.name] = tuple(found[key] for key in expected if key in found)

    def _head_cell(self, form: FormSheet, number: int, said: Raw, allowed: str) -> None:
        if said != allowed:
            found = shown(said if isinstance(said, str) else "")
            raise _refuse(
                f"{found} in {form.name}!A{number}",
                f"the form of this enquiry and amendment: {allowed.replace(':', ' ')}",
            )

    def _row(
        self,
        form: FormSheet,
        key: str,
        issued: Sequence[Value],
        cells: Sequence[Cell],
        letters: Sequence[str],
        number: int,
    ) -> FormRow:
        values: dict[str, Value] = {}
        first = ""
        for at, (column, sent) in enumerate(zip(form.columns, issued, strict=True), start=1):
            cell = cells[at]
            place = f"{form.name}!{letters[at]}{number}"
            if column.answer is None and key not in form.free:
                if column.name != "total" and not _same(cell, sent):
                    self._problem(
                        place, f"a locked cell changed to {_found(cell)}", f"as sent: {shown(sent or '')}"
                    )
                values[column.name] = sent
                continue
            first = first or place
            values[column.name] = self._answer(column, cell, place)
        return FormRow(key, values, first)

    def _answer(self, column: Column, cell: Cell, place: str) -> Value:
        """Return an answer, None where it is empty or a problem."""
        if isinstance(cell, Refused):
            self._problem(place, cell.found, cell.allowed)
            return None
        if cell is None or (isinstance(cell, str) and not cell.strip()):
            return None
        if column.answer == "number":
            return self._number(cell, place)
        if isinstance(cell, bool):
            return "yes" if cell else "no"
        text = f"{cell:.10g}" if isinstance(cell, int | float) else " ".join(cell.split())
        if column.choices:
            if text.casefold() not in column.choices:
                self._problem(place, shown(text), f"one of: {', '.join(column.choices)}")
            return text.casefold()
        if len(text) > column.longest or bad_character(text) is not None:
            self._problem(place, shown(text), f"one line of at most {column.longest} characters")
        elif self._refuse_prices and _MONEY.search(text):
            self._problem(place, "a price, which is not repeated here", "no price in the technical file")
        return text

    def _number(self, cell: Cell, place: str) -> Value:
        if isinstance(cell, bool) or not isinstance(cell, int | float):
            self._problem(
                place,
                f"the text {shown(cell)}",
                "a number, stored as a number, decimals by the cell's format",
            )
            return None
        if not 0 <= cell <= 1e12:
            self._problem(place, shown(cell), "a number from 0 to 1 000 000 000 000")
            return None
        return float(cell)


def _same(cell: Cell, sent: Value) -> bool:
    if cell == sent:
        return True
    if sent is None or sent == "":
        return cell is None or cell == ""
    if isinstance(sent, int | float) and isinstance(cell, int | float):
        return abs(cell - sent) < 1e-9
    return isinstance(cell, str) and " ".join(cell.split()) == " ".join(str(sent).split())


def _found(cell: Cell) -> str:
    return cell.found if isinstance(cell, Refused) else shown(cell)
