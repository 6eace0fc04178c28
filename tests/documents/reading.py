"""Reading documents back: what a reader of the file sees."""

from __future__ import annotations

import csv
import re
from io import BytesIO, StringIO

from pypdf import PdfReader


def pdf(data: bytes) -> PdfReader:
    return PdfReader(BytesIO(data))


def text_of(data: bytes) -> str:
    """Return the text of all sheets with every run of white space as one space."""
    return " ".join(" ".join(page.extract_text() for page in pdf(data).pages).split())


def without_spaces(text: str) -> str:
    """Return a text without white space, to find in it what a column had to wrap."""
    return re.sub(r"\s+", "", text)


def csv_rows(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(StringIO(data.decode("utf-8-sig"), newline="")))
