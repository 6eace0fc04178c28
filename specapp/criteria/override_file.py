"""Reading of a project's criteria file: TOML of `[[criterion]]` with key, value and reason."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from math import isfinite
from typing import Any

from specapp.criteria.criteria_set import CriteriaSet, CriterionNotFound
from specapp.criteria.criterion import Criterion, Override
from specapp.domain.problems import DOCUMENT, NOTHING, InputErrors, Problem, path_text, shown

SIZE_LIMIT = 1_000_000
REASON_LENGTH = 500
_FIELDS = ("key", "value", "reason", "source", "date")
_TABLES_ALLOWED = "TOML of [[criterion]] tables with key, value and reason"


def read_overrides(data: bytes, criteria: CriteriaSet) -> dict[str, Override]:
    """Return the overrides by key, in the order of the file. Raises InputErrors with every problem."""
    problems: list[Problem] = []
    overrides: dict[str, Override] = {}
    first_row: dict[str, int] = {}
    for index, row in enumerate(_tables(data, problems)):
        if not isinstance(row, Mapping):
            problems.append(Problem(f"criterion[{index}]", shown(row), _TABLES_ALLOWED))
            continue
        key = row.get("key")
        path = ("criteria", key) if isinstance(key, str) and key else ("criterion", index)
        found = list(_row_problems(path, row, criteria))
        if isinstance(key, str) and key in first_row:
            found.append(
                Problem(
                    path_text(path),
                    f"a second time in criterion[{index}]",
                    f"once, as in criterion[{first_row[key]}]",
                )
            )
        if found:
            problems += found
        else:
            overrides[row["key"]] = Override(
                float(row["value"]), row["reason"].strip(), row.get("source", "").strip(), row.get("date")
            )
        if isinstance(key, str):
            first_row.setdefault(key, index)
    if problems:
        raise InputErrors(problems)
    return overrides


def _tables(data: bytes, problems: list[Problem]) -> list[Any]:
    if len(data) > SIZE_LIMIT:
        problems.append(
            Problem(DOCUMENT, f"a criteria file of {len(data)} bytes", f"at most {SIZE_LIMIT} bytes")
        )
        return []
    try:
        document = tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        problems.append(Problem(DOCUMENT, "a criteria file that is not UTF-8 text", _TABLES_ALLOWED))
        return []
    except tomllib.TOMLDecodeError as error:
        problems.append(Problem(DOCUMENT, f"a criteria file that is not TOML: {error}", _TABLES_ALLOWED))
        return []
    except (RecursionError, ValueError):
        # tomllib recurses into nested arrays, and Python refuses integers of thousands of digits.
        problems.append(
            Problem(DOCUMENT, "a criteria file nested too deeply or with a number too long", _TABLES_ALLOWED)
        )
        return []
    problems += [
        Problem(path_text((key,)), "an unknown table or field", _TABLES_ALLOWED)
        for key in document
        if key != "criterion"
    ]
    rows = document.get("criterion", [])
    if not isinstance(rows, list):
        problems.append(Problem("criterion", shown(rows), _TABLES_ALLOWED))
        return []
    return rows


def _row_problems(
    path: tuple[str | int, ...], row: Mapping[str, Any], criteria: CriteriaSet
) -> Iterator[Problem]:
    for name in row:
        if name not in _FIELDS:
            yield Problem(path_text((*path, name)), "an unknown field", f"only {', '.join(_FIELDS)}")
    criterion: Criterion | None = None
    key = row.get("key")
    if not isinstance(key, str) or not key:
        yield Problem(path_text((*path, "key")), _found(row, "key"), "the key of a criterion")
    else:
        try:
            criterion = criteria.get(key)
        except CriterionNotFound as error:
            close = f"; close to it: {', '.join(error.close_matches)}" if error.close_matches else ""
            yield Problem(path_text(path), "an unknown criterion", f"a key of the list of criteria{close}")
    yield from _value_problems(path, row, criterion)
    reason = row.get("reason")
    if not isinstance(reason, str) or not reason.strip() or len(reason) > REASON_LENGTH:
        yield Problem(
            path_text((*path, "reason")),
            _found(row, "reason"),
            f"a reason of 1 to {REASON_LENGTH} characters",
        )
    source = row.get("source", "")
    if not isinstance(source, str) or len(source) > REASON_LENGTH:
        yield Problem(
            path_text((*path, "source")), shown(source), f"text of at most {REASON_LENGTH} characters"
        )
    dated = row.get("date")
    if dated is not None and (not isinstance(dated, date) or isinstance(dated, datetime)):
        yield Problem(path_text((*path, "date")), shown(dated), "a date such as 2026-03-31, without quotes")


def _value_problems(
    path: tuple[str | int, ...], row: Mapping[str, Any], criterion: Criterion | None
) -> Iterator[Problem]:
    value = _finite(row.get("value"))
    allowed = criterion.allowed() if criterion else "a number"
    if value is None or (criterion and not criterion.allows(value)):
        yield Problem(path_text((*path, "value")), _found(row, "value"), allowed)


def _finite(value: object) -> float | None:
    if type(value) not in (int, float):
        return None
    try:
        number = float(value)  # type: ignore[arg-type]
    except OverflowError:
        return None
    return number if isfinite(number) else None


def _found(row: Mapping[str, Any], name: str) -> str:
    return shown(row[name]) if name in row else NOTHING
