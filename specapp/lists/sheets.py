"""Machine lists as brought: a file or pasted cells become a grid, its headings get their meaning."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from specapp.domain.machine_columns import columns
from specapp.domain.machine_csv import read_csv
from specapp.domain.machine_table import LONGEST_CELL, Cell, Refused, column_letter
from specapp.domain.machine_workbook import read_workbook
from specapp.domain.problems import DOCUMENT, InputErrors, Problem, shown

MOST_MACHINES = 500
# A machine described in every field has some 300 cells; the grid is kept with the person's import.
MOST_CELLS = 60_000
LEFT_OUT = "-"
_WITH_UNIT = re.compile(r"(.+?)\s*(\([^()]{1,20}\))", re.DOTALL)
# The apostrophe that keeps a spreadsheet from calculating a cell of an exported CSV, as in "'-20 degC".
_GUARD = re.compile(r"^'(?=\s*[=+\-@])")

Grid = list[list[Any]]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of a sheet: where it stands, what it says, the field it is taken for.

    `path` is empty for a heading without meaning yet, `-` for a column that is left out; `is_path` tells
    that it is a field's path already, `sample` what the first machine has below it.
    """

    letter: str
    text: str
    path: str
    is_path: bool
    sample: str


def grid_of_file(name: str, data: bytes) -> Grid:
    """Return the cells of a workbook or a CSV file. Raises `InputErrors` for any other or a hostile one."""
    suffix = name.rpartition(".")[2].lower()
    if suffix == "xlsx":
        return _kept(read_workbook(data))
    if suffix in ("csv", "txt", "tsv"):
        return _kept(read_csv(data))
    raise InputErrors([Problem("file", f"a .{suffix[:10]} file", "a list saved as .xlsx or .csv")])


def grid_of_text(text: str) -> Grid:
    """Return cells pasted from a spreadsheet, or CSV typed into the field."""
    return _kept(read_csv(text.replace("\r\n", "\n").encode("utf-8", errors="replace")))


def _kept(rows: Any) -> Grid:
    grid: Grid = []
    cells = 0
    for row in rows:
        kept = [_as_json(cell) for cell in row]
        cells += sum(cell not in (None, "") for cell in kept)
        if cells > MOST_CELLS:
            raise InputErrors(
                [Problem(DOCUMENT, f"more than {MOST_CELLS} filled cells", f"at most {MOST_CELLS} at a time")]
            )
        grid.append(kept)
    return grid


def _as_json(cell: Cell) -> Any:
    if isinstance(cell, Refused):
        return {"found": cell.found, "allowed": cell.allowed}
    if isinstance(cell, str):
        # Twice the length that is told as too long: what goes beyond would only be stored and refused.
        return _GUARD.sub("", cell.replace("\0", ""), count=1)[: 2 * LONGEST_CELL]
    if isinstance(cell, int) and not isinstance(cell, bool) and abs(cell) >= 10**15:
        return str(cell)[:60]
    return cell


def head_place(grid: Grid) -> int:
    """Return where the row of headings is: the first that is not empty and no comment; -1 for none."""
    for number, row in enumerate(grid):
        told = [cell for cell in row if not _is_empty(cell)]
        if told and not (isinstance(told[0], str) and told[0].lstrip().startswith("#")):
            return number
    return -1


def _is_empty(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def heading_key(text: str) -> str:
    """Return a heading as it is remembered: capitals, blanks and its unit do not matter."""
    match = _WITH_UNIT.fullmatch(text.strip())
    return " ".join((match[1] if match else text).split()).casefold()[:200]


def headings(grid: Grid, meanings: Mapping[str, str]) -> list[Heading]:
    """Return the headings of a sheet with what they mean."""
    place = head_place(grid)
    if place < 0:
        return []
    below = next((row for row in grid[place + 1 :] if any(not _is_empty(cell) for cell in row)), [])
    found = []
    for index, cell in enumerate(grid[place]):
        if _is_empty(cell):
            continue
        text = cell["found"] if isinstance(cell, dict) else str(cell).strip()
        own = _own_path(text)
        path = own or meanings.get(heading_key(text), "")
        if path != LEFT_OUT and path not in columns():
            path = ""
        under = below[index] if index < len(below) else None
        sample = "" if _is_empty(under) else under["found"] if isinstance(under, dict) else str(under)[:40]
        found.append(Heading(column_letter(index), text, path, bool(own), sample))
    return found


def _own_path(text: str) -> str:
    """Return the field whose path a heading is, with or without a unit; empty where it is none."""
    for part in (text, *([match[1]] if (match := _WITH_UNIT.fullmatch(text.strip())) else [])):
        path = re.sub(r"\s+", "_", part.strip().casefold())
        if path in columns():
            return path
    return ""


def meant_grid(grid: Grid, meanings: Mapping[str, str]) -> list[list[Cell]]:
    """Return the grid with headings replaced by paths and the columns emptied that are left out.

    Places stay as they are, so that problems name the cells of the person's own sheet.
    """
    place = head_place(grid)
    means = {item.letter: item for item in headings(grid, meanings)}
    out: set[int] = set()
    result: list[list[Cell]] = []
    for number, row in enumerate(grid):
        cells: list[Cell] = [_as_cell(cell) for cell in row]
        if number == place:
            for index in range(len(cells)):
                heading = means.get(column_letter(index))
                if heading is not None and heading.path == LEFT_OUT:
                    out.add(index)
                elif heading is not None and heading.path and not heading.is_path:
                    match = _WITH_UNIT.fullmatch(heading.text)
                    cells[index] = f"{heading.path} {match[2]}" if match else heading.path
        for index in out.intersection(range(len(cells))):
            cells[index] = None
        result.append(cells)
    return result


def _as_cell(cell: Any) -> Cell:
    return Refused(cell["found"], cell["allowed"]) if isinstance(cell, dict) else cell


def unknown_meanings(posted: Mapping[str, str], known: Sequence[Heading]) -> list[Problem]:
    """Return what is wrong with the fields a person chose for the headings of a sheet."""
    problems = []
    taken: dict[str, str] = {item.path: item.text for item in known if item.is_path}
    for item in known:
        path = item.path if item.is_path else posted.get(heading_key(item.text), "")
        if item.is_path or path in ("", LEFT_OUT):
            continue
        if path not in columns():
            allowed = "a field of a machine, or left out"
            problems.append(Problem(f"column {item.letter}", shown(path), allowed))
        elif path in taken:
            allowed = f"once, as for {taken[path]}"
            problems.append(Problem(f"column {item.letter}", f"{path} a second time", allowed))
        else:
            taken[path] = item.text
    return problems
