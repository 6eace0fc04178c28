"""The cells of one sheet of a workbook, read in one pass over its XML.

The spreadsheet library builds an element for each of ten thousand cells; here none is built. What it knows of
the workbook (which part a sheet is, shared texts, formats of dates) is taken from it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import IO, Final
from xml.parsers import expat

from openpyxl.utils.datetime import from_excel, from_ISO8601

Raw = str | float | int | bool | date | datetime | time | timedelta | None
_PLACE: Final = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_READ_BYTES: Final = 1 << 16
_MOST_MERGED: Final = 5


@dataclass(frozen=True, slots=True)
class SheetCells:
    """Rows by their number, each its values by the column's number, both from 1; merged ranges as written.

    ``rows_beyond`` is the number of the first row past the most that are read, None where there is none.
    """

    rows: Mapping[int, Mapping[int, Raw]]
    merged: Sequence[str]
    rows_beyond: int | None


def read_cells(
    part: IO[bytes], strings: Sequence[str], date_styles: AbstractSet[int], most: int
) -> SheetCells:
    """Return the cells of a sheet's part, at most so many rows of it.

    Raises ValueError or `expat.ExpatError` for one that no spreadsheet program writes: a document type (the
    door of hostile entities), rows or columns out of order, a place that is none.
    """
    reading = _Reading(strings, date_styles, most)
    parser = expat.ParserCreate(namespace_separator=" ")
    parser.buffer_text = True
    parser.StartElementHandler = reading.start
    parser.EndElementHandler = reading.end
    parser.CharacterDataHandler = reading.text
    parser.StartDoctypeDeclHandler = _refuse_document_type
    while reading.beyond is None and (chunk := part.read(_READ_BYTES)):
        parser.Parse(chunk, False)
    if reading.beyond is None:
        parser.Parse(b"", True)
    return SheetCells(reading.rows, reading.merged, reading.beyond)


def _refuse_document_type(*_: object) -> None:
    raise ValueError("a document type in a sheet")


@dataclass(slots=True)
class _Reading:
    strings: Sequence[str]
    date_styles: AbstractSet[int]
    most: int
    rows: dict[int, dict[int, Raw]] = field(default_factory=dict)
    merged: list[str] = field(default_factory=list)
    beyond: int | None = None
    _columns: dict[str, int] = field(default_factory=dict)
    _row: int = 0
    _column: int = 0
    _values: dict[int, Raw] = field(default_factory=dict)
    _cell: Mapping[str, str] | None = None
    _value: str | None = None
    _formula: str | None = None
    _inline: str = ""
    _is_phonetic: bool = False
    _said: list[str] | None = None

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        local = name.rpartition(" ")[2]
        if self._cell is not None:
            if local in ("v", "f", "t"):
                self._said = []
            elif local == "rPh":
                self._is_phonetic = True
        elif local == "c":
            self._begin_cell(attributes)
        elif local == "row":
            self._begin_row(attributes)
        elif local == "mergeCell" and len(self.merged) < _MOST_MERGED:
            self.merged.append(_range(attributes.get("ref", "")))

    def text(self, said: str) -> None:
        if self._said is not None:
            self._said.append(said)

    def end(self, name: str) -> None:
        if self._cell is None:
            return
        local = name.rpartition(" ")[2]
        if self._said is not None and local in ("v", "f", "t"):
            said, self._said = "".join(self._said), None
            if local == "v":
                self._value = said
            elif local == "f":
                self._formula = said
            elif not self._is_phonetic:
                self._inline += said
        elif local == "rPh":
            self._is_phonetic = False
        elif local == "c":
            if self.beyond is None:
                self._values[self._column] = self._read(self._cell)
            self._cell = None

    def _begin_row(self, attributes: Mapping[str, str]) -> None:
        number = int(attributes.get("r", self._row + 1))
        if number <= self._row:
            raise ValueError("rows out of order")
        self._row, self._column, self._values = number, 0, {}
        if number > self.most:
            self.beyond = self.beyond or number
        else:
            self.rows[number] = self._values

    def _begin_cell(self, attributes: Mapping[str, str]) -> None:
        column = self._column + 1
        if place := attributes.get("r"):
            found = _PLACE.fullmatch(place)
            if found is None or int(found[2]) != self._row:
                raise ValueError("a cell with a place that is none")
            letters = found[1]
            column = self._columns.get(letters) or self._columns.setdefault(letters, _column_number(letters))
            if column <= self._column:
                raise ValueError("cells out of order")
        self._column, self._cell = column, attributes
        self._value = self._formula = None
        self._inline = ""

    def _read(self, cell: Mapping[str, str]) -> Raw:
        """Return a value as the spreadsheet library gives it; a formula as its text after an equals sign."""
        kind, value = cell.get("t", "n"), self._value
        if self._formula is not None:
            return f"={self._formula}"
        if kind == "inlineStr":
            return self._inline
        if not value:
            return None
        if kind == "s":
            return self.strings[int(value)]
        if kind == "n":
            number = float(value) if set(value) & set(".eE") else int(value)
            return _moment(number) if int(cell.get("s", 0)) in self.date_styles else number
        if kind == "b":
            return bool(int(value))
        if kind == "d":
            moment: date | time = from_ISO8601(value)
            return moment
        return value


def _range(text: str) -> str:
    if not all(_PLACE.fullmatch(place) for place in text.split(":")):
        raise ValueError("merged cells with a place that is none")
    return text


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - 64
    return number


def _moment(number: float) -> Raw:
    try:
        moment: Raw = from_excel(number)
    except (OverflowError, ValueError):
        return "#VALUE!"
    return moment
