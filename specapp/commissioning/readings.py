"""Readings of a loop curve: typed line by line, or from a CSV file or workbook; problems name their cell."""

import re
from collections.abc import Iterable, Sequence

from specapp.commissioning.quantities import number_in
from specapp.domain.machine_csv import read_csv
from specapp.domain.machine_table import Cell, Refused, column_letter
from specapp.domain.machine_workbook import LARGEST_BYTES, read_workbook
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.domain.quantities import QuantityError
from specapp.kernel.loop_curve import curve_readings
from specapp.kernel.units import unit_named

MOST_READINGS = 200
_MOST_PROBLEMS = 60
_ZIP = b"PK\x03\x04"
_WITH_UNIT = re.compile(r"(.+?)\s*\(([^()]{1,20})\)\s*")
# Column, unit it is kept in, kind of quantity, smallest and largest value that a curve may have.
_COLUMNS = {"gap": ("mm", "length", 0.0, 20.0), "output": ("V", "voltage", -30.0, 0.0)}
Readings = list[tuple[float, float]]


def readings_of_text(text: str) -> Readings:
    """Return readings typed as gap and output, a pair a line, parted by blanks, a semicolon or a tab.

    Raises `InputErrors` with every line that is none.
    """
    rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        if line.strip():
            parts = [part for part in re.split(r"[;\t ]+|,\s+", line.strip()) if part]
            rows.append((f"line {number}", f"line {number}", parts))
    return _read([((first, second), parts) for first, second, parts in rows], ("mm", "V"))


def readings_of_file(name: str, size: int, data: bytes) -> Readings:
    """Return the readings of a workbook (.xlsx) or CSV file, told apart by their content.

    The first row that is not empty names the columns: gap and output, with a unit in round brackets where
    it is another than mm and V. Raises `InputErrors` with every cell that is wrong.
    """
    if size > LARGEST_BYTES:
        raise InputErrors([Problem("file", f"{size} bytes", f"a file of at most {LARGEST_BYTES} bytes")])
    suffix = name.rpartition(".")[2].lower()
    if suffix not in ("xlsx", "csv", "txt", "tsv"):
        raise InputErrors([Problem("file", shown(name[-40:]), "readings saved as .xlsx or .csv")])
    grid: Iterable[Sequence[Cell]] = read_workbook(data) if data.startswith(_ZIP) else read_csv(data)
    heads: dict[str, tuple[int, str]] | None = None
    rows = []
    for number, cells in enumerate(grid, start=1):
        if not any(cell not in (None, "") for cell in cells):
            continue
        if heads is None:
            heads = _heads(number, cells)
            continue
        if len(rows) >= MOST_READINGS:
            raise InputErrors(
                [Problem("file", f"more than {MOST_READINGS} readings", f"at most {MOST_READINGS} readings")]
            )
        places = [heads[column][0] for column in _COLUMNS]
        addresses = tuple(f"{column_letter(place)}{number}" for place in places)
        rows.append((addresses, [cells[place] if place < len(cells) else None for place in places]))
    if heads is None:
        raise InputErrors([Problem("file", "an empty table", "a first row that names gap and output")])
    return _read(rows, tuple(heads[column][1] for column in _COLUMNS))


def _heads(number: int, cells: Sequence[Cell]) -> dict[str, tuple[int, str]]:
    heads: dict[str, tuple[int, str]] = {}
    problems: list[Problem] = []
    for place, cell in enumerate(cells):
        text = cell.strip() if isinstance(cell, str) else ""
        match = _WITH_UNIT.fullmatch(text)
        name = (match[1] if match else text).strip().casefold()
        if name not in _COLUMNS:
            continue
        address = f"{column_letter(place)}{number}"
        unit, kind, *_ = _COLUMNS[name]
        named = unit_named(match[2], kind) if match else unit
        if name in heads:
            problems.append(Problem(address, f"a second column {name}", "each column once"))
        elif named is None:
            problems.append(Problem(address, shown(match[2]) if match else NOTHING, f"a unit such as {unit}"))
        else:
            heads[name] = (place, named)
    missing = [name for name in _COLUMNS if name not in heads]
    if missing and not problems:
        found = ", ".join(shown(cell) for cell in cells[:6] if cell not in (None, ""))
        problems.append(Problem(f"row {number}", found or NOTHING, "columns named gap and output"))
    if problems:
        raise InputErrors(problems)
    return heads


def _read(rows: Sequence[tuple[tuple[str, str], Sequence[Cell]]], units: tuple[str, ...]) -> Readings:
    problems: list[Problem] = []
    found: Readings = []
    seen: dict[float, str] = {}
    for addresses, cells in rows[:MOST_READINGS]:
        if len(cells) != len(_COLUMNS):
            problems.append(
                Problem(addresses[0], shown(" ".join(map(str, cells))), "two numbers: gap, output")
            )
            continue
        pair = [
            _number(address, cell, column, unit, problems)
            for address, cell, column, unit in zip(addresses, cells, _COLUMNS, units, strict=True)
        ]
        if pair[0] is None or pair[1] is None:
            continue
        if pair[0] in seen:
            problems.append(Problem(addresses[0], f"{pair[0]:g} mm", f"each gap once, as in {seen[pair[0]]}"))
        seen.setdefault(pair[0], addresses[0])
        found.append((pair[0], pair[1]))
    if not problems and not 5 <= len(rows) <= MOST_READINGS:
        problems.append(Problem("readings", f"{len(rows)} readings", f"5 to {MOST_READINGS} readings"))
    if problems:
        raise InputErrors(problems[:_MOST_PROBLEMS])
    return [tuple(point) for point in curve_readings(found)]


def _number(address: str, cell: Cell, column: str, unit: str, problems: list[Problem]) -> float | None:
    kept, _, low, high = _COLUMNS[column]
    allowed = f"a number, {low:g} to {high:g} {kept}"
    if isinstance(cell, Refused):
        problems.append(Problem(address, cell.found, cell.allowed))
        return None
    text = "" if cell is None or isinstance(cell, bool) else str(cell).strip().lstrip("'")
    if not text:
        problems.append(Problem(address, NOTHING if cell is None or cell == "" else shown(cell), allowed))
        return None
    bare = not any(char.isalpha() or char in "µ\"'" for char in text)
    try:
        value = number_in(f"{text} {unit}" if bare and unit != kept else text, kept)
    except QuantityError as error:
        problems.append(Problem(address, shown(text), allowed, message=error.message))
        return None
    if not low <= value <= high:
        problems.append(Problem(address, f"{value:g} {kept}", allowed))
        return None
    return value
