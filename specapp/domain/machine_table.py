"""A list of machines as a table: one row a machine, one column a field of machine/1.

A column is headed by the field's path (`bull_gear.speed`, `pinions[0].journal_diameter`); any subset in
any order will do, capitals do not matter, and a unit in round brackets after the path is the unit of the
bare numbers below it. An empty cell is: not told. Empty rows are passed over, and so is a row whose first
cell begins with `#`. This module turns cells into nested descriptions; what they mean is read like any
other description, and `located` leads a problem back to its cell.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from specapp.domain.machine_columns import Column, columns
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.kernel.units import unit_named


@dataclass(frozen=True, slots=True)
class Refused:
    """A cell that holds nothing to read, such as a formula or a date: what was found, what is allowed."""

    found: str
    allowed: str


Cell = str | int | float | bool | Refused | None
MOST_ROWS = 5000
# Every field of every pinion and some room: a table wider than this is not one of machines.
MOST_COLUMNS = 400
LONGEST_CELL = 2000

_TRUTHS = {"true": True, "yes": True, "false": False, "no": False}
_WHOLE = re.compile(r"[+-]?\d{1,15}(?:\.0*)?", re.ASCII)
_WITH_UNIT = re.compile(r"(.+?)\s*\(([^()]{1,20})\)", re.DOTALL)
_INDEXED = re.compile(r"(\w+)\[(\d)\]", re.ASCII)


@dataclass(frozen=True, slots=True)
class TableRow:
    """One machine: the number of its row in the table, its description, its cells' columns by path.

    `problems` are those of single cells; the description is to be refused where there is any.
    """

    number: int
    document: Mapping[str, Any]
    letters: Mapping[str, str]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Head:
    column: Column
    letter: str
    unit: str | None


def column_letter(index: int) -> str:
    """Return the letters of a spreadsheet's column, 0 is A."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def read_rows(grid: Iterable[Sequence[Cell]]) -> tuple[TableRow, ...]:
    """Return the machines of a table whose first row that is not empty holds the paths.

    Raises `InputErrors` where the heads are wrong or there are too many rows: then no row can be trusted.
    """
    heads: list[_Head | None] | None = None
    rows: list[TableRow] = []
    for number, cells in enumerate(grid, start=1):
        if _is_passed_over(cells):
            continue
        if heads is None:
            heads = _heads(number, cells)
            continue
        if len(rows) == MOST_ROWS:
            raise InputErrors(
                [Problem(f"row {number}", "another machine", f"at most {MOST_ROWS} machines in a table")]
            )
        rows.append(_row(number, cells, heads))
    if heads is None:
        raise InputErrors(
            [Problem("document", "an empty table", "a row of field paths and a row for each machine")]
        )
    if not rows:
        raise InputErrors(
            [Problem("document", "a table without machines", "a row for each machine below the paths")]
        )
    return tuple(rows)


def located(problem: Problem, row: TableRow) -> str:
    """Return where in the table a problem of a row's description is: "row 3, column D", or its row."""
    path = problem.path
    while path not in row.letters:
        shorter = re.sub(r"(\.[^.\[\]]+|\[[^\[\]]*\])$", "", path)
        if shorter in ("", path):
            return f"row {row.number}"
        path = shorter
    return f"row {row.number}, column {row.letters[path]}"


def _is_passed_over(cells: Sequence[Cell]) -> bool:
    told = [cell for cell in cells if not _is_empty(cell)]
    return not told or (isinstance(told[0], str) and told[0].lstrip().startswith("#"))


def _is_empty(cell: Cell) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _heads(number: int, cells: Sequence[Cell]) -> list[_Head | None]:
    problems: list[Problem] = []
    heads: list[_Head | None] = []
    letters: dict[str, str] = {}
    for index, cell in enumerate(cells):
        letter = column_letter(index)
        place = f"row {number}, column {letter}"
        if _is_empty(cell):
            heads.append(None)
            continue
        head = _head(place, cell, letter, problems)
        heads.append(head)
        if head is None:
            continue
        path = head.column.path
        if path in letters:
            problems.append(Problem(place, f'"{path}" a second time', f"once, as in column {letters[path]}"))
        letters.setdefault(path, letter)
    if problems:
        raise InputErrors(problems)
    return heads


def _head(place: str, cell: Cell, letter: str, problems: list[Problem]) -> _Head | None:
    text = cell.found if isinstance(cell, Refused) else str(cell).strip()
    known = columns()
    with_unit = None if _plain_path(text) in known else _WITH_UNIT.fullmatch(text)
    path = _plain_path(with_unit[1] if with_unit else text)
    column = known.get(path)
    if column is None:
        close = get_close_matches(path[:80], known, n=3, cutoff=0.6)
        near = f"; close to it: {', '.join(close)}" if close else ""
        problems.append(Problem(place, shown(text), f"the path of a field of machine/1{near}"))
        return None
    unit = None
    if with_unit:
        kind = column.quantity.kind if column.quantity else None
        unit = unit_named(with_unit[2], kind) if kind else None
        if unit is None:
            units = column.quantity.units_text if column.quantity else ""
            problems.append(
                Problem(place, shown(text), f"{path} in {units}" if units else f"{path} without a unit")
            )
            return None
    return _Head(column, letter, unit)


def _plain_path(text: str) -> str:
    return re.sub(r"\s+", "_", text.strip().casefold())


def _row(number: int, cells: Sequence[Cell], heads: Sequence[_Head | None]) -> TableRow:
    document: dict[str, Any] = {}
    problems: list[Problem] = []
    letters: dict[str, str] = {}
    for index, cell in enumerate(cells):
        if _is_empty(cell):
            continue
        head = heads[index] if index < len(heads) else None
        if head is None:
            letter = column_letter(index)
            letters[f"column_{letter}"] = letter
            problems.append(
                Problem(f"column_{letter}", _shown_cell(cell), "a cell below the path of a field")
            )
            continue
        path = head.column.path
        letters[path] = head.letter
        if isinstance(cell, Refused):
            problems.append(Problem(path, cell.found, cell.allowed))
        elif isinstance(cell, str) and len(cell) > LONGEST_CELL:
            problems.append(Problem(path, f"{len(cell)} characters", f"at most {LONGEST_CELL} characters"))
        else:
            _place(document, path, _told(cell, head))
    return TableRow(number, document, letters, tuple(problems))


def _shown_cell(cell: Cell) -> str:
    return cell.found if isinstance(cell, Refused) else shown(cell)


def _place(document: dict[str, Any], path: str, value: Any) -> None:
    *parents, last = path.split(".")
    here = document
    for parent in parents:
        indexed = _INDEXED.fullmatch(parent)
        if indexed:
            items = here.setdefault(indexed[1], [])
            items += [{} for _ in range(len(items), int(indexed[2]) + 1)]
            here = items[int(indexed[2])]
        else:
            word = here.get(parent)
            if not isinstance(word, dict):
                # The area is told as a word and by its parts: the reading refuses the two together.
                here[parent] = {} if word is None else {"unclassified": word}
            here = here[parent]
    here[last] = {"unclassified": value, **here[last]} if isinstance(here.get(last), dict) else value


def _told(cell: str | int | float | bool | None, head: _Head) -> Any:
    """Return a cell as the JSON value of its field; what cannot be one is left for the reading to refuse."""
    form = head.column.form
    if isinstance(cell, str):
        cell = cell.strip()
    if isinstance(cell, bool):
        return cell
    if form == "quantity":
        return _in_head_unit(cell, head.unit)
    if form == "whole":
        return _whole(cell)
    if form == "truth":
        return _TRUTHS.get(str(cell).casefold(), cell)
    if form == "word":
        return _written(cell)
    separators = {"name_list": r";", "word_list": r"[;,\s]+", "whole_list": r"[;,\s]+"}[form]
    parts = [part.strip() for part in re.split(separators, str(_written(cell))) if part.strip()]
    return [_whole(part) for part in parts] if form == "whole_list" else parts


def _in_head_unit(cell: str | int | float | None, unit: str | None) -> str | int | float | None:
    if unit is None:
        return cell
    text = _written(cell)
    return f"{text} {unit}" if isinstance(text, str) and re.fullmatch(r"[-+\d.,eE\s]+", text) else text


def _whole(cell: str | int | float | None) -> str | int | float | None:
    if isinstance(cell, str) and _WHOLE.fullmatch(cell):
        return int(cell.partition(".")[0])
    return cell


def _written(cell: str | int | float | None) -> str | int | float | None:
    """Return a number as the text a person sees in its cell: a tag 4410 is a text here."""
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    return repr(cell) if isinstance(cell, int | float) else cell
