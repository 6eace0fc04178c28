"""The clauses of an enquiry specification, in this project's own words, numbered as they are printed."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Final

from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.requirements.requirement import Requirement, group_title

Clause = tuple[str, str]

_ONE: Final = "One person of the purchaser opens the offers, with a password."
_TWO: Final = "Two persons of the purchaser open the offers, each with a password."


@cache
def general_clauses() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the chapters of `data/clauses.toml`: title and clauses."""
    package = resources.files("specapp.evaluation.requirements")
    chapters = tomllib.loads(package.joinpath("data/clauses.toml").read_text("utf-8"))["chapter"]
    return tuple((each["title"], tuple(each["clauses"])) for each in chapters)


def clauses_of(sheet: EnquirySheet) -> list[Clause]:
    """Return number and text of every clause: the general ones, then one for each requirement.

    A chapter is a clause whose number has no point. `sheet.clauses` replaces the words of clauses by their
    number; an empty text leaves a clause out and its number unused.
    """
    told = {
        "machines": ", ".join(sheet.asked.machines),
        "closes": sheet.closes,
        "method": sheet.method,
        "opening": _ONE if sheet.one_person_opening else _TWO,
    }
    clauses: list[Clause] = []
    for chapter, (title, texts) in enumerate(general_clauses(), start=1):
        clauses.append((str(chapter), title))
        clauses += [(f"{chapter}.{at}", text.format_map(told)) for at, text in enumerate(texts, start=1)]
    chapter = len(general_clauses())
    groups: dict[str, list[Requirement]] = {}
    for each in sheet.asked.requirements:
        groups.setdefault(each.group, []).append(each)
    for group, rows in groups.items():
        chapter += 1
        clauses.append((str(chapter), group_title(group)))
        for at, each in enumerate(rows, start=1):
            must = " This must be met." if each.knock_out else ""
            clauses.append((f"{chapter}.{at}", f"{each.title}. {each.text}{must} ({_spaced(each.id)})"))
    changed = dict(sheet.clauses)
    return [(number, changed.get(number, text)) for number, text in clauses if changed.get(number, text)]


def _spaced(key: str) -> str:
    return key.replace("/", ", ").replace("_", " ")
