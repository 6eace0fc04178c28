"""Lists and markings of a reply held against a criterion."""

from __future__ import annotations

import re
from collections.abc import Iterator

from specapp.evaluation.replies.verdicts import UNCLEAR, Found
from specapp.evaluation.requirements.criterion import AreaNeed, Criterion
from specapp.kernel.hazardous_area import marking_notes, marking_problems

_WORD = re.compile(r"[^\W_]+")
_NEGATION = re.compile(r"\b(?:no|not|without|except|excluding|none of)\b", re.IGNORECASE)
_ALL = re.compile(r"\s*(?:yes[,;:]?\s*)?all(?: of (?:them|these|it|the list))?\.?\s*", re.IGNORECASE)
_MARKINGS = re.compile(r"\s*(?:;|\n|\band\b(?=\s*(?:Ex|AEx|\[Ex|II|Class)))\s*")


def _plain(text: str) -> str:
    """Return a text for comparison: small letters, everything but letters and digits as one space."""
    return f" {' '.join(_WORD.findall(text.casefold()))} "


def judge_choices(criterion: Criterion, text: str) -> Found:
    """Return how a reply stands against a list, by the entries that occur in it."""
    if not text:
        return Found(UNCLEAR, "none of the list is named")
    if criterion.needs_all and _ALL.fullmatch(text):
        return Found("comply", f"All of the list: “{text}”.")
    if _NEGATION.search(text):
        return Found(UNCLEAR, f"“{text[:80]}” denies something, and what is left is not clear")
    said = _plain(text)
    named = [each for each in criterion.choices if _plain(each) in said]
    if criterion.needs_all:
        missing = [each for each in criterion.choices if each not in named]
        if not missing:
            return Found("comply", f"All of the list is named: {', '.join(named)}.")
        if named:
            return Found("partial", f"Named: {', '.join(named)}; missing: {', '.join(missing)}.")
        return Found("deviate", f"“{text[:80]}” names none of: {', '.join(missing)}.")
    if named:
        return Found("comply", f"Named: {', '.join(named)}.")
    return Found("deviate", f"“{text[:80]}” is none of: {', '.join(criterion.choices)}.")


def judge_marking(criterion: Criterion, text: str) -> Found:
    """Return how markings, parted by semicolons, suit every area of the criterion."""
    markings = markings_of(text)
    if not markings:
        return Found(UNCLEAR, "no marking is given")
    reasons = [
        reason for marking in markings for area in criterion.areas for reason in _against(marking, area)
    ]
    if reasons:
        return Found("deviate", f"{' '.join(dict.fromkeys(reasons))}")
    notes = tuple(f"{marking}: {note}." for marking in markings for note in marking_notes(marking))
    suits = f"{', '.join(f'“{marking}”' for marking in markings)} suits every area asked."
    return Found("with comment" if notes else "comply", suits, notes)


def markings_of(text: str) -> list[str]:
    """Return the markings of a reply, one an entry."""
    return [part for part in (each.strip(" .,") for each in _MARKINGS.split(text)) if part]


def _against(marking: str, area: AreaNeed) -> Iterator[str]:
    ambient = None
    if area.ambient_low_c is not None and area.ambient_high_c is not None:
        ambient = (area.ambient_low_c, area.ambient_high_c)
    problems = marking_problems(
        marking,
        level=area.level,
        gas_group=area.gas_group,
        temperature_class=area.temperature_class,
        ambient_c=ambient,
    )
    for problem in problems:
        yield f"“{marking[:80]}” at {area.machine}: {problem.rstrip('.')}."
