"""What a kind of measurement is: what is written down, of which items, and how it is judged."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from specapp.bench.stored_criteria import StoredCriteria
from specapp.domain.proposal import Point, Proposal, Record

__all__ = ["YES_NO", "Facts", "Field", "Judgement", "Kind", "Subject"]

YES_NO = (("yes", "yes"), ("no", "no"))


class Judgement(Record, frozen=True):
    """The verdict on a record: what follows from it, what it is held against, what is wrong, and why.

    ``results`` and ``limits`` are pairs of name and text with unit; ``rule`` says the calculation in words.
    """

    passes: bool
    results: tuple[tuple[str, str], ...]
    limits: tuple[tuple[str, str], ...]
    problems: tuple[str, ...]
    rule: str
    source: str


@dataclass(frozen=True, slots=True)
class Field:
    """A value to be written down. ``unit`` belongs to numbers, ``choices`` to choices (value, word)."""

    name: str
    label: str
    type: Literal["number", "choice", "line", "readings"] = "number"
    unit: str = ""
    required: bool = True
    choices: tuple[tuple[str, str], ...] = ()
    help: str = ""
    initial: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """What the description says of a shaft beside the proposal; None where it is not told."""

    looks_toward: Literal["active", "inactive"] | None = None
    float_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Subject:
    """What a record is about: an item's key and tags, its points, the proposal and its criteria."""

    key: str
    proposal: Proposal
    points: tuple[Point, ...] = ()
    facts: Facts = field(default_factory=Facts)

    @property
    def point(self) -> Point:
        return self.points[0]

    @property
    def tags(self) -> str:
        return ", ".join(point.tag for point in self.points)

    @property
    def criteria(self) -> StoredCriteria:
        return StoredCriteria(self.proposal)

    @property
    def acceptance_um(self) -> float | None:
        """Return the acceptance limit of the point's shaft [um peak to peak]."""
        for line in self.proposal.shafts:
            if line.name == self.point.shaft and line.acceptance_limit is not None:
                return line.acceptance_limit.value
        return None


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of record.

    ``keys`` gives the items of a proposal that it applies to; ``fields`` what is written down of one;
    ``judge`` raises `KernelError` for numbers that cannot be, named as its fields.
    """

    key: str
    title: str
    keys: Callable[[Proposal], Sequence[str]]
    fields: Callable[[Subject], Sequence[Field]]
    judge: Callable[[Subject, Mapping[str, Any]], Judgement]
    caution: str = ""
