"""One criterion: a number the rules start from, with where it comes from and how far to trust it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from specapp.domain.proposal import CriterionRead

PUBLISHED = "published"
FROM_MEMORY = "from memory"
COMMON_PRACTICE = "common practice"

# Arithmetic takes the weakest status of what it read.
STATUSES_WEAKEST_FIRST = (COMMON_PRACTICE, FROM_MEMORY, PUBLISHED)

KEY_PATTERN = r"[a-z][a-z_]*\.[a-z0-9][a-z0-9_]*"


@dataclass(frozen=True, slots=True)
class Override:
    """A value an engineer sets in place of a criterion's, and the reason that is printed with it."""

    value: float
    reason: str
    source: str = ""
    dated: date | None = None


@dataclass(frozen=True, slots=True)
class Criterion:
    """A criterion in force.

    ``value``, ``minimum`` and ``maximum`` are in ``unit`` ("1" for a plain number); an override must
    lie within the two, and is a whole number where ``whole``. ``source`` is empty only with status
    common practice. ``override`` is None, or tells value, reason, origin and the default replaced; an
    overridden value keeps the status of the criterion it replaces. ``read`` is the record a rule
    leaves when it reads this criterion. ``confirmed`` says who held a value from memory against a
    licensed copy, and which: its status is then published, until an override replaces it.
    """

    key: str
    title: str
    value: float
    unit: str
    minimum: float
    maximum: float
    whole: bool
    source: str
    edition: str
    status: str
    valid_from: date
    note: str
    override: Mapping[str, Any] | None
    read: CriterionRead
    confirmed: str = ""

    def allows(self, value: float) -> bool:
        """Return whether an override may take this value."""
        return self.minimum <= value <= self.maximum and not (self.whole and value != int(value))

    def allowed(self) -> str:
        """Return what an override may be, in words."""
        unit = "" if self.unit == "1" else f" {self.unit}"
        kind = "a whole number from" if self.whole else "a number from"
        return f"{kind} {self.minimum:g} to {self.maximum:g}{unit}"


def weakest_status(*statuses: str) -> str:
    """Return the weakest of the statuses: common practice, then from memory, then published.

    Raises ValueError for no status at all or for a word that is none.
    """
    return STATUSES_WEAKEST_FIRST[min(STATUSES_WEAKEST_FIRST.index(status) for status in statuses)]
