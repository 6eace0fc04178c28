"""Reading of the criteria data: every row is checked, and every fault of the data is told at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from math import isfinite
from pathlib import Path
from typing import Any

from specapp.criteria.criterion import COMMON_PRACTICE, KEY_PATTERN, STATUSES_WEAKEST_FIRST, Criterion
from specapp.criteria.plain_toml import plain_tables
from specapp.domain.proposal import CriterionRead

_TEXTS = ("key", "title", "unit", "source", "edition", "status", "note")
_NUMBERS = ("value", "minimum", "maximum")
_REQUIRED = (*_TEXTS, *_NUMBERS, "valid_from")
_OPTIONAL = ("whole",)
_MAY_BE_EMPTY = ("source",)


class CriteriaDataError(ValueError):
    """The criteria data is faulty: a fault of the project, not of a user's input."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(self.faults))


def read_data_files(paths: Iterable[Path]) -> tuple[Criterion, ...]:
    """Return every row of the files, dated rows of one key in the order of their dates.

    Raises CriteriaDataError with every fault found.
    """
    faults: list[str] = []
    rows: list[Criterion] = []
    seen: dict[tuple[str, date], str] = {}
    for path in paths:
        for number, row in enumerate(_rows(path, faults), start=1):
            where = f"{path.name}: criterion {number} ({row.get('key', 'without key')})"
            row_faults = list(_row_faults(row))
            if row_faults:
                faults += [f"{where}: {fault}" for fault in row_faults]
                continue
            criterion = _criterion(row)
            identity = (criterion.key, criterion.valid_from)
            if identity in seen:
                faults.append(f"{where}: has the key and valid_from of {seen[identity]}")
            seen.setdefault(identity, where)
            rows.append(criterion)
    if faults:
        raise CriteriaDataError(faults)
    return tuple(sorted(rows, key=lambda each: (each.key, each.valid_from)))


def _rows(path: Path, faults: list[str]) -> list[dict[str, Any]]:
    try:
        text = path.read_text("utf-8")
        plain = plain_tables(text, "criterion")
        if plain is not None:
            return plain
        document = tomllib.loads(text)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        faults.append(f"{path.name}: cannot be read as TOML: {error}")
        return []
    faults += [
        f"{path.name}: unknown table {key!r}; only [[criterion]] is allowed"
        for key in document
        if key != "criterion"
    ]
    rows = document.get("criterion", [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        faults.append(f"{path.name}: criterion is not a list of tables; write [[criterion]]")
        return []
    return rows


def _row_faults(row: Mapping[str, Any]) -> Iterable[str]:
    for name in row:
        if name not in _REQUIRED and name not in _OPTIONAL:
            yield f"unknown field {name!r}"
    for name in _REQUIRED:
        if name not in row:
            yield f"{name} is missing"
    for name in _TEXTS:
        if name in row and not isinstance(row[name], str):
            yield f"{name} is not text"
        elif not row.get(name, "-").strip() and name not in _MAY_BE_EMPTY:
            yield f"{name} is empty"
    if isinstance(row.get("key"), str) and not re.fullmatch(KEY_PATTERN, row["key"]):
        yield "key is not two lower-case words with a dot between them"
    yield from _number_faults(row)
    if not isinstance(row.get("whole", False), bool):
        yield "whole is not true or false"
    if "valid_from" in row and (
        not isinstance(row["valid_from"], date) or isinstance(row["valid_from"], datetime)
    ):
        yield "valid_from is not a date"
    status = row.get("status")
    if status is not None and status not in STATUSES_WEAKEST_FIRST:
        yield f"status {status!r} is none of {', '.join(STATUSES_WEAKEST_FIRST)}"
    if row.get("source") == "" and status in STATUSES_WEAKEST_FIRST and status != COMMON_PRACTICE:
        yield "source is empty; only common practice has no source"


def _number_faults(row: Mapping[str, Any]) -> Iterable[str]:
    numbers = {name: row[name] for name in _NUMBERS if name in row}
    wrong = [
        name for name, value in numbers.items() if type(value) not in (int, float) or not isfinite(value)
    ]
    for name in wrong:
        yield f"{name} is not a finite number"
    if wrong or len(numbers) < len(_NUMBERS):
        return
    if not row["minimum"] <= row["value"] <= row["maximum"]:
        yield f"value {row['value']} is outside its own range {row['minimum']} to {row['maximum']}"
    if row.get("whole") is True and any(value != int(value) for value in numbers.values()):
        yield "value, minimum and maximum of a whole criterion are not all whole numbers"


def _criterion(row: Mapping[str, Any]) -> Criterion:
    value = float(row["value"])
    return Criterion(
        key=row["key"],
        title=row["title"],
        value=value,
        unit=row["unit"],
        minimum=float(row["minimum"]),
        maximum=float(row["maximum"]),
        whole=row.get("whole", False),
        source=row["source"],
        edition=row["edition"],
        status=row["status"],
        valid_from=row["valid_from"],
        note=row["note"],
        override=None,
        read=CriterionRead(row["key"], value, row["unit"], row["status"], None),
    )
