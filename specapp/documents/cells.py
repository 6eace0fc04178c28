"""Text made safe for spreadsheets and comma-separated files."""

from __future__ import annotations

import unicodedata
from typing import Final

Cell = str | int | float | bool | None

_FORMULA_STARTS: Final = ("=", "+", "-", "@", "＝", "＋", "－", "＠")
_LONGEST: Final = 32_767  # characters of a workbook cell
_CUT: Final = " … cut here"


def without_controls(text: str) -> str:
    """Return the text with control characters, line feeds among them, as spaces."""
    if text.isprintable():
        return text
    return "".join(" " if unicodedata.category(c) in ("Cc", "Cs") else c for c in text)


def workbook_text(text: str) -> str:
    """Return the text as a workbook cell can hold it; one too long says where it was cut."""
    clean = "\n".join(without_controls(line) for line in text.split("\n"))
    return clean if len(clean) <= _LONGEST else clean[: _LONGEST - len(_CUT)] + _CUT


def csv_text(text: str) -> str:
    """Return the text on one line, with an apostrophe before anything a spreadsheet would calculate."""
    clean = without_controls(text)
    return f"'{clean}" if clean.lstrip().startswith(_FORMULA_STARTS) else clean
