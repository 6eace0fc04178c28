"""Reading documents back: what a reader of the file sees."""

from __future__ import annotations

import csv
import re
from functools import cache
from io import BytesIO, StringIO

from pypdf import PdfReader
from pypdfium2 import PdfDocument


def pdf(data: bytes) -> PdfReader:
    return PdfReader(BytesIO(data))


@cache
def sheet_texts(data: bytes) -> tuple[str, ...]:
    """Return the text of each sheet, read by a library that is quick enough for whole datasheets."""
    document = PdfDocument(data)
    return tuple(page.get_textpage().get_text_range().replace("\r\n", "\n") for page in document)


def text_of(data: bytes) -> str:
    """Return the text of all sheets with every run of white space as one space."""
    return " ".join(" ".join(sheet_texts(data)).split())


def without_spaces(text: str) -> str:
    """Return a text without white space, to find in it what a column had to wrap."""
    return re.sub(r"\s+", "", text)


def csv_rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(data.decode("utf-8-sig"), newline="")))
