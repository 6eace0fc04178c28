"""Numbers by the owner's scheme: revisions in letters or numbers, documents and transmittals by pattern."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from string import Formatter, ascii_uppercase

from specapp.revisions.models import Numbering, Series

DOCUMENT_FIELDS = frozenset({"project", "machine", "document", "sequence"})
TRANSMITTAL_FIELDS = frozenset({"project", "sequence"})
_UNPRINTED = re.compile(r"[^\w.+-]+")


@dataclass(frozen=True, slots=True)
class Scheme:
    """How revisions are counted; `sequence` counts from 1 in each series of a machine."""

    first_letter: str = "A"
    letters_left_out: str = "IO"
    first_number: int = 0
    number_digits: int = 1

    @classmethod
    def of(cls, row: Numbering) -> "Scheme":
        return cls(row.first_letter, row.letters_left_out, row.first_number, row.number_digits)

    def label(self, series: str, sequence: int) -> str:
        """Return the label of the n-th revision of a series: A, B, ... Z, AA or 0, 1, 2."""
        if series == Series.NUMBERS:
            return str(self.first_number + sequence - 1).zfill(self.number_digits)
        letters = [letter for letter in ascii_uppercase if letter not in self.letters_left_out]
        # The owner's first letter may be one that is left out; the next one then begins.
        start = next((i for i, letter in enumerate(letters) if letter >= self.first_letter), 0)
        index, label = start + sequence - 1, ""
        while index >= 0:
            index, place = divmod(index, len(letters))
            label = letters[place] + label
            index -= 1
        return label


def pattern_problem(pattern: str, allowed: frozenset[str]) -> str:
    """Return what is wrong with a pattern, nothing where it can be used."""
    names = ", ".join(f"{{{name}}}" for name in sorted(allowed))
    try:
        parts = list(Formatter().parse(pattern))
    except ValueError:
        return f"Found {pattern!r}; allowed are text and {names}."
    used = [name for _, name, _, _ in parts if name is not None]
    if any(
        name not in allowed or spec or conversion for _, name, spec, conversion in parts if name is not None
    ):
        return f"Found {pattern!r}; allowed are text and {names}."
    if "sequence" not in used and not {"machine", "document"} <= set(used):
        return (
            f"Found {pattern!r}; allowed is a pattern with {{sequence}}, or every number would be the same."
        )
    return ""


def number_by(pattern: str, parts: Mapping[str, str]) -> str:
    """Return a number by a pattern that has no problem; blanks become hyphens."""
    number = "".join(
        text + (_UNPRINTED.sub("-", parts[name]).strip("-") if name is not None else "")
        for text, name, _, _ in Formatter().parse(pattern)
    )
    return number.strip("-")
