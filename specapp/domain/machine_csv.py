"""A machine list as text: CSV with commas, semicolons or tabs, in UTF-8."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from io import StringIO

from specapp.domain.machine_table import LONGEST_CELL, MOST_COLUMNS, MOST_ROWS
from specapp.domain.problems import DOCUMENT, InputErrors, Problem

LARGEST_BYTES = 10_000_000
_DELIMITERS = ",;\t"


def read_csv(data: bytes) -> Iterator[list[str]]:
    """Return the rows of a CSV file. Raises `InputErrors` for a file that is none, or too large."""
    if len(data) > LARGEST_BYTES:
        raise _refuse(f"{len(data)} bytes", f"a CSV file of at most {LARGEST_BYTES} bytes")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _refuse(f"a byte that is not UTF-8 at position {error.start}", "a CSV file in UTF-8") from None
    if "\0" in text:
        raise _refuse("a NUL character", "a CSV file of text")
    return _rows(text)


def _rows(text: str) -> Iterator[list[str]]:
    reader = csv.reader(StringIO(text, newline=""), delimiter=_delimiter(text), strict=True)
    try:
        for number, row in enumerate(reader, start=1):
            if number > 2 * MOST_ROWS:
                raise _refuse(f"more than {2 * MOST_ROWS} rows", f"at most {MOST_ROWS} machines in a table")
            if len(row) > MOST_COLUMNS:
                raise _refuse(f"{len(row)} columns in row {number}", f"at most {MOST_COLUMNS} columns")
            yield row
    except csv.Error as error:
        place = f"line {reader.line_num}"
        message = f"fields of at most {csv.field_size_limit()} characters, quotes in pairs"
        raise _refuse(f"text that is not CSV at {place}: {error}", message) from None


def _delimiter(text: str) -> str:
    """Return the delimiter that stands most often outside quotes in the first line that holds anything."""
    first = next((line for line in text.splitlines() if line.strip()), "")[: LONGEST_CELL * MOST_COLUMNS]
    outside = "".join(first.split('"')[::2])
    return max(_DELIMITERS, key=outside.count)


def _refuse(found: str, allowed: str) -> InputErrors:
    return InputErrors([Problem(DOCUMENT, found, allowed)])
