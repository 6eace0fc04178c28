"""Reading of tables in their plainest TOML: one field a line, one value of one line each.

The criteria are some two thousand such lines. The general TOML reader takes about 30 ms for them, more
than everything else a proposal needs; this takes a tenth. It reads nothing that the general reader
would read otherwise: whatever goes beyond the plain form is left to that reader.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from typing import Any

_LINE = re.compile(
    r"(?P<key>[a-z_]+) = (?:"
    r"'(?P<text>[^'\x00-\x1f\x7f]*)'"
    r'|"(?P<quoted>[^"\\\x00-\x1f\x7f]*)"'
    r"|(?P<date>\d{4}-\d\d-\d\d)"
    r"|(?P<real>-?(?:0|[1-9]\d*)\.\d+)"
    r"|(?P<whole>-?(?:0|[1-9]\d{0,17}))"
    r"|(?P<truth>true|false))",
    re.ASCII,
)
_READ: dict[str, Callable[[str], Any]] = {
    "text": str,
    "quoted": str,
    "date": date.fromisoformat,
    "real": float,
    "whole": int,
    "truth": "true".__eq__,
}


def plain_tables(text: str, name: str) -> list[dict[str, Any]] | None:
    """Return the tables of an array of tables `[[name]]`, or None where the text is not plain."""
    head = f"[[{name}]]"
    tables: list[dict[str, Any]] = []
    for line in text.split("\n"):
        if line == head:
            tables.append({})
        elif line and not (line[0] == "#" and line.isprintable()):
            found = _LINE.fullmatch(line)
            if found is None or not tables or found["key"] in tables[-1] or found.lastgroup is None:
                return None
            try:
                tables[-1][found["key"]] = _READ[found.lastgroup](found[found.lastgroup])
            except ValueError:  # a date that is not in the calendar
                return None
    return tables
