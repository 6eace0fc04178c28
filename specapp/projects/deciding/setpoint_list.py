"""A maker's setpoint list, by tag: read from a workbook or CSV file, compared, never adopted unseen.

The first row that is not empty names the columns: tag, alarm, trip, alarm low, trip low, in any order,
with a unit in round brackets where the numbers below are bare, or a column unit that tells it row by row.
Columns of other names are passed over and
named. A row is one instrument or one group of them; rows of one group must agree.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from specapp.domain.machine_csv import read_csv
from specapp.domain.machine_table import Cell, Refused, column_letter
from specapp.domain.machine_workbook import read_workbook
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.domain.proposal import Point, Proposal
from specapp.projects.deciding.items import LEVELS
from specapp.projects.deciding.setpoint_values import GivenValue, given_value

MOST_ROWS = 2000
_COLUMNS = ("tag", "alarm", "alarm low", "trip", "trip low", "unit")
_WITH_UNIT = re.compile(r"(.+?)\s*\(([^()]{1,20})\)\s*")
_ZIP = b"PK\x03\x04"


@dataclass(frozen=True, slots=True)
class ListedValue:
    """A value found in a list, and the cell it stands in."""

    given: GivenValue
    cell: str
    tags: str


@dataclass(frozen=True, slots=True)
class SetpointList:
    """What a list says: values by group and level, problems by cell, columns that say something else."""

    values: tuple[ListedValue, ...]
    problems: tuple[Problem, ...]
    passed_over: tuple[str, ...]


def read_setpoint_list(data: bytes, proposal: Proposal) -> SetpointList:
    """Return the values of a workbook (.xlsx) or CSV file, told apart by their content.

    Raises `InputErrors` where nothing of the file can be read: no workbook, no text, no column of tags.
    """
    grid: Iterable[Sequence[Cell]] = read_workbook(data) if data.startswith(_ZIP) else read_csv(data)
    return _List(proposal).read(grid)


class _List:
    def __init__(self, proposal: Proposal) -> None:
        self._proposal = proposal
        self._by_tag = _points_by_tag(proposal)
        self._found: dict[tuple[str, str], ListedValue] = {}
        self._problems: list[Problem] = []

    def read(self, grid: Iterable[Sequence[Cell]]) -> SetpointList:
        heads: dict[str, tuple[int, str]] | None = None
        passed_over: list[str] = []
        rows = 0
        for number, cells in enumerate(grid, start=1):
            if not any(cell not in (None, "") for cell in cells):
                continue
            if heads is None:
                heads, passed_over = _heads(cells)
                continue
            rows += 1
            if rows > MOST_ROWS:
                raise InputErrors(
                    [Problem("document", f"more than {MOST_ROWS} rows", f"at most {MOST_ROWS} setpoint rows")]
                )
            self._row(number, cells, heads)
        if heads is None:
            raise InputErrors([Problem("document", "an empty table", "a first row that names the columns")])
        return SetpointList(tuple(self._found.values()), tuple(self._problems), tuple(passed_over))

    def _row(self, number: int, cells: Sequence[Cell], heads: Mapping[str, tuple[int, str]]) -> None:
        tag_cell = f"{column_letter(heads['tag'][0])}{number}"
        text = self._text(cells, heads["tag"][0], tag_cell)
        if text is None:
            return
        point = self._by_tag.get(_key(text))
        if point is None:
            found = shown(text) if text else NOTHING
            self._problems.append(Problem(tag_cell, found, "the tag of a point of this machine"))
            return
        unit = ""
        if "unit" in heads:
            place = heads["unit"][0]
            unit = self._text(cells, place, f"{column_letter(place)}{number}") or ""
        for level in LEVELS:
            if level in heads:
                self._level(number, cells, heads, point, level, unit)

    def _level(
        self,
        number: int,
        cells: Sequence[Cell],
        heads: Mapping[str, tuple[int, str]],
        point: Point,
        level: str,
        row_unit: str,
    ) -> None:
        place, head_unit = heads[level]
        cell = f"{column_letter(place)}{number}"
        high = self._text(cells, place, cell)
        low_head = heads.get(f"{level} low")
        low_cell = f"{column_letter(low_head[0])}{number}" if low_head else ""
        low = self._text(cells, low_head[0], low_cell) if low_head else ""
        if not high or low is None:
            if low:
                self._problems.append(Problem(cell, NOTHING, "the high side beside the low one"))
            return
        try:
            given = given_value(
                self._proposal,
                point.voting_group,
                level,
                _with_unit(high, head_unit or row_unit),
                _with_unit(low, low_head[1] or row_unit) if low_head else "",
            )
        except InputErrors as errors:
            places = {"low": low_cell}
            self._problems += [
                Problem(places.get(each.path, cell), each.found, each.allowed, message=each.message)
                for each in errors.problems
            ]
            return
        self._keep(given, cell, point)

    def _keep(self, given: GivenValue, cell: str, point: Point) -> None:
        place = (given.item, given.level)
        before = self._found.get(place)
        if before is None:
            self._found[place] = ListedValue(given, cell, point.tag)
        elif (before.given.value, before.given.low) != (given.value, given.low):
            found = f"{given.value:g} {given.unit}"
            allowed = f"{before.given.value:g} {given.unit} as in {before.cell}, one value for {given.item}"
            self._problems.append(Problem(cell, found, allowed))

    def _text(self, cells: Sequence[Cell], place: int, address: str) -> str | None:
        """Return a cell as text; None where it holds nothing to read, which is then among the problems."""
        cell = cells[place] if place < len(cells) else None
        if isinstance(cell, Refused):
            self._problems.append(Problem(address, cell.found, cell.allowed))
            return None
        if isinstance(cell, bool):
            self._problems.append(Problem(address, shown(cell), "a number or a text"))
            return None
        if isinstance(cell, float):
            return f"{cell:.10g}"
        return "" if cell is None else str(cell).strip()


def _heads(cells: Sequence[Cell]) -> tuple[dict[str, tuple[int, str]], list[str]]:
    """Return place and unit of each known column, and the names of the others."""
    heads: dict[str, tuple[int, str]] = {}
    others: list[str] = []
    problems: list[Problem] = []
    for place, cell in enumerate(cells):
        text = cell.strip() if isinstance(cell, str) else ""
        match = _WITH_UNIT.fullmatch(text)
        name = " ".join((match[1] if match else text).replace("_", " ").split()).casefold()
        if name not in _COLUMNS:
            others += [text] if text else []
        elif name in heads:
            address = f"{column_letter(place)}1"
            problems.append(Problem(address, f"a second column {shown(name)}", "each column once"))
        else:
            heads[name] = (place, match[2].strip() if match else "")
    if "tag" not in heads or not ({"alarm", "trip"} & set(heads)):
        found = ", ".join(others + list(heads)) or NOTHING
        problems.append(Problem("document", shown(found), "columns named tag, and alarm or trip or both"))
    if problems:
        raise InputErrors(problems)
    return heads, others


def _with_unit(text: str, unit: str) -> str:
    bare = bool(text) and not any(char.isalpha() or char in "µ°\"'" for char in text)
    return f"{text} {unit}" if unit and bare else text


def _points_by_tag(proposal: Proposal) -> dict[str, Point]:
    found: dict[str, Point] = {}
    for point in proposal.points:
        for tag in (point.tag, *point.tags.values(), point.key):
            found.setdefault(_key(tag), point)
    for point in proposal.points:
        found.setdefault(_key(point.voting_group), point)
    return found


def _key(tag: str) -> str:
    return "".join(tag.split()).casefold()
