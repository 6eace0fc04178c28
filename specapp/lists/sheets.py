"""Machine lists as brought: a file or pasted cells become a grid, its headings get their meaning."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from specapp.domain.machine_columns import columns
from specapp.domain.machine_csv import read_csv
from specapp.domain.machine_table import LONGEST_CELL, Cell, Refused, column_letter
from specapp.domain.machine_workbook import SHEET
from specapp.domain.problems import DOCUMENT, InputErrors, Problem, shown
from specapp.domain.workbook_sheets import BookSheet, PartOfMerged, read_sheets, with_merged

MOST_MACHINES = 500
# A machine described in every field has some 300 cells; the grid is kept with the person's import.
MOST_CELLS = 60_000
LEFT_OUT = "-"
_WITH_UNIT = re.compile(r"(.+?)\s*[(\[]([^()\[\]]{1,20})[)\]]", re.DOTALL)
# Rows that may stand above the headings: titles, notes, groups.
_MOST_ABOVE = 60
_SHOWN_ROWS, _SHOWN_CELLS, _SHOWN_TEXT = 12, 8, 24
# The apostrophe that keeps a spreadsheet from calculating a cell of an exported CSV, as in "'-20 degC".
_GUARD = re.compile(r"^'(?=\s*[=+\-@])")

Grid = list[list[Any]]


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading of a sheet: where it stands, what it says, the field it is taken for.

    `path` is empty for a heading without meaning yet, `-` for a column that is left out; `is_path` tells
    that it is a field's path already, `sample` what the first machine has below it. `key` is how it is
    remembered: the second of two that say the same has a number in it.
    """

    letter: str
    text: str
    path: str
    is_path: bool
    sample: str
    key: str


@dataclass(frozen=True, slots=True)
class BroughtSheet:
    """One sheet of a file, or the whole of one that has none; `refused` tells why it is not read."""

    name: str
    grid: Grid
    is_hidden: bool = False
    refused: str = ""


def sheets_of_file(name: str, data: bytes) -> list[BroughtSheet]:
    """Return the sheets of a workbook or a CSV file that have anything in them.

    Raises `InputErrors` for any other file, a hostile one, and one of which no sheet can be read.
    """
    suffix = name.rpartition(".")[2].lower()
    if suffix == "xlsx":
        return _sheets_kept(read_sheets(data))
    if suffix in ("csv", "txt", "tsv"):
        return [BroughtSheet("", _kept(read_csv(data)))]
    raise InputErrors([Problem("file", f"a .{suffix[:10]} file", "a list saved as .xlsx or .csv")])


def _sheets_kept(sheets: Sequence[BookSheet]) -> list[BroughtSheet]:
    kept: list[BroughtSheet] = []
    left = MOST_CELLS
    for sheet in sheets:
        refused = sheet.refused
        grid: Grid = []
        if not refused:
            try:
                grid = _kept(with_merged(sheet), left)
            except InputErrors as errors:
                (problem,) = errors.problems
                refused = f"found {problem.found}; allowed: {problem.allowed}"
        left -= _filled(grid)
        if refused or _filled(grid):
            kept.append(BroughtSheet(sheet.name, grid, sheet.is_hidden, refused))
    if all(sheet.refused for sheet in kept):
        problems = [Problem(f"sheet {each.name}", "nothing that can be read", each.refused) for each in kept]
        raise InputErrors(problems or [Problem(DOCUMENT, "an empty workbook", "a list of machines")])
    return kept


def _filled(grid: Grid) -> int:
    return sum(not _is_empty(cell) for row in grid for cell in row)


def sheets_of_text(text: str) -> list[BroughtSheet]:
    """Return cells pasted from a spreadsheet, or CSV typed into the field, as the only sheet."""
    rows = read_csv(text.replace("\r\n", "\n").encode("utf-8", errors="replace"))
    return [BroughtSheet("", _kept(rows))]


def _kept(rows: Any, most_cells: int = MOST_CELLS) -> Grid:
    grid: Grid = []
    cells = 0
    for row in rows:
        kept = [_as_json(cell) for cell in row]
        cells += sum(cell not in (None, "") for cell in kept)
        if cells > most_cells:
            raise InputErrors(
                [Problem(DOCUMENT, f"more than {most_cells} filled cells", f"at most {MOST_CELLS} at a time")]
            )
        grid.append(kept)
    return grid


def _as_json(cell: Cell) -> Any:
    if isinstance(cell, PartOfMerged):
        return {"found": cell.found, "allowed": cell.allowed, "heading": cell.heading[:LONGEST_CELL]}
    if isinstance(cell, Refused):
        return {"found": cell.found, "allowed": cell.allowed}
    if isinstance(cell, str):
        # Twice the length that is told as too long: what goes beyond would only be stored and refused.
        return _GUARD.sub("", cell.replace("\0", ""), count=1)[: 2 * LONGEST_CELL]
    if isinstance(cell, int) and not isinstance(cell, bool) and abs(cell) >= 10**15:
        return str(cell)[:60]
    return cell


def head_place(grid: Grid, meanings: Mapping[str, str], head_row: int = 0) -> int:
    """Return where the row of headings is: the row that is told, else the likeliest; -1 for none.

    The likeliest has the most headings that are known, and of those the first; where none is known, it is the
    first row that has a text in two cells at least, or only one row.
    """
    if head_row:
        return head_row - 1 if head_row <= len(grid) else -1
    rows = [number for number, row in enumerate(grid) if not _is_passed_over(row)]
    near = rows[:_MOST_ABOVE]
    best = max(near, key=lambda number: _known(grid[number], meanings), default=-1)
    if best >= 0 and _known(grid[best], meanings):
        return best
    texts = (number for number in near if sum(_is_text(cell) for cell in grid[number]) > 1)
    return next(texts, rows[0] if rows else -1)


def likeliest_sheet(sheets: Sequence[BroughtSheet], meanings: Mapping[str, str]) -> int:
    """Return which sheet has the machines: by its name, else a visible one by its headings."""

    def likelihood(index: int) -> tuple[bool, bool, int]:
        sheet = sheets[index]
        place = head_place(sheet.grid, meanings)
        known = _known(sheet.grid[place], meanings) if place >= 0 else 0
        return sheet.name.strip().casefold() == SHEET, not sheet.is_hidden, known

    read = [index for index, sheet in enumerate(sheets) if not sheet.refused]
    return max(read, key=likelihood)


def _known(row: Sequence[Any], meanings: Mapping[str, str]) -> int:
    texts = [_heading_text(cell) for cell in row if not _is_empty(cell)]
    return sum(bool(_own_path(text) or meanings.get(heading_key(text))) for text in texts)


def _is_text(cell: Any) -> bool:
    return isinstance(cell, str) and bool(cell.strip())


def _is_passed_over(row: Sequence[Any]) -> bool:
    told = [cell for cell in row if not _is_empty(cell)]
    return not told or (isinstance(told[0], str) and told[0].lstrip().startswith("#"))


def _heading_text(cell: Any) -> str:
    """Return what a cell says as a heading; under a merged one, what that says."""
    if isinstance(cell, dict):
        return str(cell.get("heading") or cell["found"])
    return str(cell).strip()


def _is_empty(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def heading_key(text: str) -> str:
    """Return a heading as it is remembered: capitals, blanks and its unit do not matter."""
    match = _WITH_UNIT.fullmatch(text.strip())
    return " ".join((match[1] if match else text).split()).casefold()[:200]


def headings(grid: Grid, meanings: Mapping[str, str], head_row: int = 0) -> list[Heading]:
    """Return the headings of a sheet with what they mean."""
    place = head_place(grid, meanings, head_row)
    if place < 0:
        return []
    below = next((row for row in grid[place + 1 :] if any(not _is_empty(cell) for cell in row)), [])
    found = []
    times: Counter[str] = Counter()
    for index, cell in enumerate(grid[place]):
        if _is_empty(cell):
            continue
        text = _heading_text(cell)
        own = _own_path(text)
        same = heading_key(text)
        times[same] += 1
        key = same if times[same] == 1 else f"{same} #{times[same]}"
        path = own or meanings.get(key, "")
        if path != LEFT_OUT and path not in columns():
            path = ""
        under = below[index] if index < len(below) else None
        sample = "" if _is_empty(under) else under["found"] if isinstance(under, dict) else str(under)[:40]
        found.append(Heading(column_letter(index), text, path, bool(own), sample, key))
    return found


def _own_path(text: str) -> str:
    """Return the field whose path a heading is, with or without a unit; empty where it is none."""
    for part in (text, *([match[1]] if (match := _WITH_UNIT.fullmatch(text.strip())) else [])):
        if (path := _plain_path(part)) in columns():
            return path
    return ""


def meant_grid(grid: Grid, meanings: Mapping[str, str], head_row: int = 0) -> list[list[Cell]]:
    """Return the grid with headings replaced by paths, emptied above them and in columns left out.

    Places stay as they are, so that problems name the cells of the person's own sheet.
    """
    place = head_place(grid, meanings, head_row)
    means = {item.letter: item for item in headings(grid, meanings, head_row)}
    out: set[int] = set()
    result: list[list[Cell]] = []
    for number, row in enumerate(grid):
        if number < place:
            result.append([])
            continue
        cells: list[Cell] = [_as_cell(cell) for cell in row]
        if number == place:
            for index in range(len(cells)):
                heading = means.get(column_letter(index))
                if heading is not None and heading.path == LEFT_OUT:
                    out.add(index)
                elif heading is not None and heading.path:
                    cells[index] = _told_heading(heading)
        for index in out.intersection(range(len(cells))):
            cells[index] = None
        result.append(cells)
    return result


def first_rows(grid: Grid) -> list[tuple[int, list[str]]]:
    """Return the beginning of the first rows that hold anything, with their numbers, for choosing one."""
    filled = [(number, row) for number, row in enumerate(grid, 1) if any(not _is_empty(cell) for cell in row)]
    width = min(_SHOWN_CELLS, max((len(row) for _, row in filled[:_SHOWN_ROWS]), default=0))
    return [
        (number, [_shown_cell(row[index] if index < len(row) else None) for index in range(width)])
        for number, row in filled[:_SHOWN_ROWS]
    ]


def _shown_cell(cell: Any) -> str:
    # What a merged cell says stands in its first part, once.
    is_under = isinstance(cell, dict) and "heading" in cell
    return "" if is_under or _is_empty(cell) else _heading_text(cell)[:_SHOWN_TEXT]


def _told_heading(heading: Heading) -> str:
    """Return a heading as the reading takes it: the field's path, with its unit in round brackets.

    What a person's own heading of a field without a unit says in brackets is words, "Stages (total)".
    """
    match = _WITH_UNIT.fullmatch(heading.text)
    if match is None or _plain_path(heading.text) in columns():
        return heading.path
    if not heading.is_path and columns()[heading.path].quantity is None:
        return heading.path
    return f"{heading.path} ({match[2]})"


def _plain_path(text: str) -> str:
    return re.sub(r"\s+", "_", text.strip().casefold())


def _as_cell(cell: Any) -> Cell:
    return Refused(cell["found"], cell["allowed"]) if isinstance(cell, dict) else cell


def unknown_meanings(posted: Mapping[str, str], known: Sequence[Heading]) -> list[Problem]:
    """Return what is wrong with the fields a person chose for the headings of a sheet."""
    problems = []
    taken: dict[str, str] = {item.path: item.text for item in known if item.is_path}
    for item in known:
        path = item.path if item.is_path else posted.get(item.key, "")
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
