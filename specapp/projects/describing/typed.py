"""Between what stands typed in the form and the machine/1 document, in both directions.

Typed contents are a flat mapping from field name to text. Names are the paths by which problems are
reported (`bull_gear.speed`, `pinions[0].speed`); the rows of a table carry their key as a field of their
own (`criteria[0].key`).
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from math import inf, isfinite
from typing import Any

from specapp.domain.problems import NOTHING, Problem, shown
from specapp.projects.describing.fields import (
    DESCRIPTION,
    LIST,
    NUMBER_OR_WORD,
    WAS,
    WHOLE,
    YES_NO,
    FieldSpec,
    RowsSpec,
)

Typed = dict[str, str]

CLASSIFICATION = "hazardous_area.classification"
LONGEST = 4000
_ROW = re.compile(r"([a-z_]+)\[(\d{1,4})\]\.([a-z_.]+)")
_FACT_OF_PINION = re.compile(r"pinions\[(\d{1,4})\]\.(.+)")
_WHOLES_APART = re.compile(r"[,;\s]+")
_TEXTS_APART = re.compile(r"(?<!\d),|,(?!\d)|[;\n]")  # the comma of 1,3-butadiene parts nothing
_WHOLE = re.compile(r"[+-]?\d{1,15}")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Reading:
    """A document read off a form, and the form's name for each row of the document."""

    document: dict[str, Any]
    rows: Mapping[str, str]  # "pinions[1]" of the document -> "pinions[2]" of the form
    problems: tuple[
        Problem, ...
    ]  # what no document can say: lines of a table without a key, or with the same


def typed_of_post(post: Mapping[str, str]) -> Typed:
    """Return the contents that belong to the description, rows numbered without gaps.

    What is not posted is blank: a browser that shows a change leaves blank fields out.
    """
    kept: Typed = {name: post.get(name, "")[:LONGEST] for name in DESCRIPTION.fields}
    numbers = _row_numbers(post)
    for rows in DESCRIPTION.rows.values():
        for place, number in enumerate(sorted(numbers.get(rows.name, ()))[: rows.most]):
            posted, placed = f"{rows.name}[{number}].", f"{rows.name}[{place}]."
            for leaf in rows.leaves:
                kept[placed + leaf] = post.get(posted + leaf, "")[:LONGEST]
    return kept


def _row_numbers(names: Iterable[str]) -> dict[str, set[int]]:
    """Return the numbers of the rows of each list that names of fields speak of."""
    found: dict[str, set[int]] = {}
    seen: set[str] = set()
    for name in names:
        row, bracket, _ = name.partition("]")
        if not bracket or row in seen or "[" not in row:
            continue
        if match := _ROW.fullmatch(name):
            seen.add(row)
            found.setdefault(match[1], set()).add(int(match[2]))
    return found


def row_count(typed: Typed, rows: RowsSpec) -> int:
    """Return how many rows of a list the form shows."""
    return len(_row_numbers(typed).get(rows.name, ()))


def with_row(typed: Typed, rows: RowsSpec) -> Typed:
    """Return the contents with one more, empty row."""
    place = row_count(typed, rows)
    if place >= rows.most:
        return typed
    return {**typed, **{f"{rows.name}[{place}].{leaf}": "" for leaf in rows.leaves}}


def without_row(typed: Typed, rows: RowsSpec, gone: int) -> Typed:
    """Return the contents without one row; the rows after it move up."""
    return _with_rows(typed, rows, [place for place in range(row_count(typed, rows)) if place != gone])


def with_row_moved_up(typed: Typed, rows: RowsSpec, place: int) -> Typed:
    """Return the contents with one row before the one it follows."""
    order = list(range(row_count(typed, rows)))
    if 0 < place < len(order):
        order[place - 1], order[place] = place, place - 1
    return _with_rows(typed, rows, order)


def _with_rows(typed: Typed, rows: RowsSpec, order: list[int]) -> Typed:
    others = {name: text for name, text in typed.items() if not name.startswith(f"{rows.name}[")}
    for place, was in enumerate(order):
        for leaf in rows.leaves:
            others[f"{rows.name}[{place}].{leaf}"] = typed.get(f"{rows.name}[{was}].{leaf}", "")
    return _sources_following(others, order) if rows.name == "pinions" else others


def _sources_following(typed: Typed, order: list[int]) -> Typed:
    """Let the lines that say where facts come from follow their pinions; one taken out takes its own."""
    sources = DESCRIPTION.rows["sources"]
    followed, kept = dict(typed), []
    for place in range(row_count(typed, sources)):
        key = f"{sources.name}[{place}].key"
        fact = _FACT_OF_PINION.fullmatch(typed.get(key, "").strip())
        if fact is None:
            kept.append(place)
        elif (was := int(fact[1])) in order:
            followed[key] = f"pinions[{order.index(was)}].{fact[2]}"
            kept.append(place)
    return _with_rows(followed, sources, kept)


def pinions_were(typed: Typed, reading: Reading) -> list[int | None]:
    """Return, for each pinion of a document read off the form, its place in the stored description."""
    found: list[int | None] = []
    for number in range(len(reading.document.get("pinions", ()))):
        text = typed.get(f"{reading.rows[f'pinions[{number}]']}.{WAS}", "")
        was = int(text) if text.isdecimal() and len(text) < 3 else None
        found.append(None if was in found else was)
    return found


def document_of(typed: Typed) -> Reading:
    """Return the machine/1 document for typed contents; blank fields and blank rows are left out."""
    document: dict[str, Any] = {}
    row_names: dict[str, str] = {}
    problems: list[Problem] = []
    for name, spec in DESCRIPTION.fields.items():
        if (text := typed.get(name)) and name != CLASSIFICATION and (text := text.strip()):
            _put(document, name, _value(spec, text))
    _classify(document, typed.get(CLASSIFICATION, "").strip())
    numbers = _row_numbers(typed)
    for rows in DESCRIPTION.rows.values():
        for place, row in _filled_rows(typed, rows, len(numbers.get(rows.name, ()))):
            if rows.is_table:
                table = document.setdefault(rows.name, {})
                key = str(row.pop("key", ""))
                if not key or key in table:
                    found = shown(key) if key else NOTHING
                    allowed = "a key that no other line has" if key else "the key of this line"
                    problems.append(Problem(f"{rows.name}[{place}].key", found, allowed))
                    continue
                table[key] = row
                row_names[f'{rows.name}["{key}"]'] = f"{rows.name}[{place}]"
            else:
                items = document.setdefault(rows.name, [])
                row_names[f"{rows.name}[{len(items)}]"] = f"{rows.name}[{place}]"
                items.append(row)
    return Reading(document, row_names, tuple(problems))


def _filled_rows(typed: Typed, rows: RowsSpec, count: int) -> Iterator[tuple[int, dict[str, Any]]]:
    for place in range(count):
        row: dict[str, Any] = {}
        start = f"{rows.name}[{place}]."
        for leaf, spec in rows.fields.items():
            if (text := typed.get(start + leaf)) and (text := text.strip()):
                _put(row, leaf, _value(spec, text))
        if row:
            yield place, row


def _classify(document: dict[str, Any], chosen: str) -> None:
    system, _, number = chosen.partition(" ")
    area = document.get("hazardous_area", {})
    if chosen == "unclassified" and not area:
        document["hazardous_area"] = chosen
    elif chosen == "unclassified":
        document["hazardous_area"] = {"unclassified": True, **area}
    elif chosen:
        document["hazardous_area"] = {system: int(number) if number.isdecimal() else number, **area}


def _value(spec: FieldSpec, text: str) -> Any:
    if spec.kind == WHOLE:
        return _whole(text)
    if spec.kind == YES_NO:
        return {"yes": True, "no": False}.get(text, text)
    if spec.kind == NUMBER_OR_WORD:
        return _number(text)
    if spec.kind == LIST:
        parts = _WHOLES_APART.split(text) if spec.item_kind == WHOLE else _TEXTS_APART.split(text)
        return [_whole(part) if spec.item_kind == WHOLE else part.strip() for part in parts if part.strip()]
    return text


def _whole(text: str) -> Any:
    if _WHOLE.fullmatch(text):
        return int(text)
    return _number(text)


def _number(text: str) -> float | str:
    """Return the number a text says; the text where it says none, or one too large to be kept as a number."""
    value = float(text) if _NUMBER.fullmatch(text) else inf
    return value if isfinite(value) else text


def _put(document: dict[str, Any], path: str, value: Any) -> None:
    *parents, leaf = path.split(".")
    for parent in parents:
        document = document.setdefault(parent, {})
    document[leaf] = value


def typed_of(document: Mapping[str, Any]) -> Typed:
    """Return the contents of the form for a stored document."""
    typed: Typed = {}
    for name in DESCRIPTION.fields:
        typed[name] = _text(_get(document, name))
    typed[CLASSIFICATION] = _classification(document.get("hazardous_area"))
    for rows in DESCRIPTION.rows.values():
        found = document.get(rows.name) or ()
        items = (
            [{"key": key, **item} for key, item in found.items()] if rows.is_table and found else list(found)
        )
        for place, item in enumerate(items):
            for leaf in rows.fields:
                typed[f"{rows.name}[{place}].{leaf}"] = _text(_get(item, leaf))
            if WAS in rows.leaves:
                typed[f"{rows.name}[{place}].{WAS}"] = str(place)
    return typed


def _get(document: Any, path: str) -> Any:
    for part in path.split("."):
        document = document.get(part) if isinstance(document, Mapping) else None
    return document


def _classification(area: Any) -> str:
    if isinstance(area, str):
        return area
    if not isinstance(area, Mapping):
        return ""
    if area.get("unclassified"):
        return "unclassified"
    for system in ("zone", "division"):
        if area.get(system) is not None:
            return f"{system} {area[system]}"
    return ""


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value == int(value) and abs(value) < 1e15 else repr(value)
    if isinstance(value, list | tuple):
        return ", ".join(_text(item) for item in value)
    return str(value)
