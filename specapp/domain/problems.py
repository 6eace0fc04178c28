"""What is wrong with an input: one record a problem, all of them raised together.

A path starts at the document and counts list items from 0 (`pinions[1].speed`); the whole document is
`document`. Every door into the project (command line, form, import, interface) shows the same records.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches

NOTHING = "nothing"
DOCUMENT = "document"
_SHOWN_LENGTH = 60
_SHOWN_ITEMS = 4
TABLES = ("devices", "sources", "criteria")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong: where, what was found, what is allowed; all ready to be read by a person.

    `name` is what people call the item (P2 for `pinions[1]`), `message` a further explanation.
    """

    path: str
    found: str
    allowed: str
    name: str = ""
    message: str = ""

    def line(self) -> str:
        """Return the problem on one line that starts with the path."""
        name = f" ({self.name})" if self.name else ""
        message = f" ({self.message})" if self.message else ""
        return f"{self.path}{name}: found {self.found}; allowed: {self.allowed}{message}"


class InputErrors(ValueError):
    """Everything wrong with one input, in the order of the document."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(problem.line() for problem in self.problems))


def shown(value: object) -> str:
    """Return a found value as text for one line: quoted, escaped and cut where it is long."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _shown_text(value)
    if isinstance(value, int):
        # Python refuses to print integers of thousands of digits.
        return (
            str(value)
            if abs(value) < 10**20
            else f"a number of about {int(value.bit_length() * 0.30103) + 1} digits"
        )
    if isinstance(value, float):
        text = getattr(value, "text", None) or repr(value)
        if text in ("nan", "inf", "-inf"):
            text = {"nan": "NaN", "inf": "Infinity", "-inf": "-Infinity"}[text]
        return text if len(text) <= 24 else f"a number of {len(text)} characters"
    if isinstance(value, Mapping):
        return "an object" if value else "an empty object"
    if isinstance(value, list | tuple):
        if 0 < len(value) <= _SHOWN_ITEMS and all(type(item) in (int, str, bool) for item in value):
            return f"[{', '.join(map(shown, value))}]"
        return f"a list of {len(value)}" if value else "an empty list"
    return f"something of type {type(value).__name__}"


def _shown_text(text: str) -> str:
    cut = text[:_SHOWN_LENGTH]
    quoted = json.dumps(cut, ensure_ascii=False)
    if not quoted.isprintable():
        quoted = "".join(char if char.isprintable() else _escaped(char) for char in quoted)
    return quoted if len(text) <= _SHOWN_LENGTH else f'{quoted[:-1]}..." ({len(text)} characters)'


def _escaped(char: str) -> str:
    code = ord(char)
    return f"\\u{code:04x}" if code <= 0xFFFF else f"\\U{code:08x}"


def alternatives(word: str, known: Iterable[str], *, most: int = 3) -> str:
    """Return known words close to an unknown one, as "X, Y or Z"; empty when nothing is close."""
    close = get_close_matches(word[:80], list(known), n=most, cutoff=0.6)
    return close[0] if len(close) == 1 else " or ".join(filter(None, [", ".join(close[:-1]), *close[-1:]]))


def path_text(location: Iterable[str | int]) -> str:
    """Return a path as users read it: `pinions[1].speed`, `criteria["radial.trip_multiple"].reason`."""
    parts: list[str] = []
    place = tuple(location)
    for depth, part in enumerate(place):
        # The keys of a table are the user's own words, so they are always quoted.
        is_key = depth == 1 and place[0] in TABLES
        if isinstance(part, int):
            parts.append(f"[{part}]")
        elif not is_key and part.isascii() and part.isidentifier() and len(part) <= _SHOWN_LENGTH:
            parts.append(f".{part}" if parts else part)
        else:
            parts.append(f"[{_shown_text(part)}]")
    return "".join(parts) or DOCUMENT
