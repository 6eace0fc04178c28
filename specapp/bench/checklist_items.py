"""One test of a checklist, and how it is written."""

from __future__ import annotations

from typing import Literal

from specapp.domain.proposal import Record

__all__ = ["ChecklistItem", "Stage", "done_item", "number_item"]

Stage = Literal["factory", "site"]


class ChecklistItem(Record, frozen=True):
    """One test.

    ``subject`` is the key of the point, voting group, relay or rack; ``low`` and ``high`` bound the number to
    be written, in ``unit``; both None where a word is written (``entry`` "done").
    """

    key: str
    stage: Stage
    part: str
    subject: str
    tags: tuple[str, ...]
    method: str
    expected: str
    entry: Literal["number", "done"]
    low: float | None
    high: float | None
    unit: str
    source: str


def number_item(
    stage: Stage,
    part: str,
    subject: str,
    tags: tuple[str, ...],
    name: str,
    method: str,
    expected: str,
    low: float | None,
    high: float | None,
    unit: str,
    source: str,
) -> ChecklistItem:
    entry: Literal["number", "done"] = "done" if low is None and high is None else "number"
    key = f"{stage}/{subject}/{name}"
    return ChecklistItem(
        key, stage, part, subject, tags, method, expected, entry, _rounded(low), _rounded(high), unit, source
    )


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def done_item(
    stage: Stage,
    part: str,
    subject: str,
    tags: tuple[str, ...],
    name: str,
    method: str,
    expected: str,
    source: str,
) -> ChecklistItem:
    return number_item(stage, part, subject, tags, name, method, expected, None, None, "", source)
