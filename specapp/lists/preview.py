"""What an import would do: every machine of a sheet with every problem at the address of its cell."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from specapp.criteria.loader import Override as CriterionValue
from specapp.domain.machine_table import TableRow, located, read_rows
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.lists.sheets import MOST_MACHINES, Grid, headings, meant_grid
from specapp.projects.worked import Ground, described

CriterionValues = tuple[tuple[str, CriterionValue], ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One problem: where in the sheet, and the sentence."""

    place: str
    text: str


@dataclass(frozen=True, slots=True)
class FoundMachine:
    """One machine of the sheet: its row, what it is, and what keeps it from being taken over."""

    number: int
    tag: str
    service: str
    service_class: str
    stages: str
    pinions: int
    document: Mapping[str, Any]
    problems: tuple[Line, ...]

    @property
    def is_sound(self) -> bool:
        return not self.problems


@dataclass(frozen=True, slots=True)
class Preview:
    """A whole sheet: machines, and problems of the sheet itself that keep it from being read."""

    machines: tuple[FoundMachine, ...]
    problems: tuple[Line, ...]

    @property
    def sound(self) -> tuple[FoundMachine, ...]:
        return tuple(machine for machine in self.machines if machine.is_sound)

    @property
    def lines(self) -> tuple[Line, ...]:
        """Return every problem, those of the sheet first."""
        return (*self.problems, *(line for machine in self.machines for line in machine.problems))


def preview(
    grid: Grid, meanings: Mapping[str, str], taken_tags: Iterable[str], ground: Ground, head_row: int = 0
) -> Preview:
    """Return what a sheet holds, read under a project's criteria; changes nothing."""
    missing = [item for item in headings(grid, meanings, head_row) if not item.path]
    if missing:
        told = [
            Line(f"column {item.letter}", f"found {shown(item.text)}; say which field it is, or leave it out")
            for item in missing
        ]
        return Preview((), tuple(told))
    try:
        rows = read_rows(meant_grid(grid, meanings, head_row))
    except InputErrors as errors:
        return Preview((), tuple(_line(problem.path, problem) for problem in errors.problems))
    if len(rows) > MOST_MACHINES:
        found = f"found {len(rows)} machines; allowed: at most {MOST_MACHINES} at a time"
        return Preview((), (Line("sheet", found),))
    tags = Counter(_tag(row).casefold() for row in rows)
    taken = {tag.casefold() for tag in taken_tags}
    return Preview(tuple(_machine(row, tags, taken, ground) for row in rows), ())


def _tag(row: TableRow) -> str:
    return str(row.document.get("tag") or "").strip()


def _machine(row: TableRow, tags: Counter[str], taken: set[str], ground: Ground) -> FoundMachine:
    problems = list(row.problems)
    try:
        described(row.document, ground)
    except InputErrors as errors:
        # A cell that cannot be read is not told a second time as missing.
        unread = {problem.path for problem in row.problems}
        problems += [problem for problem in errors.problems if problem.path not in unread]
    tag = _tag(row)
    if tag.casefold() in taken:
        problems.append(Problem("tag", shown(tag), "a tag that no machine of this project has yet"))
    elif tag and tags[tag.casefold()] > 1:
        problems.append(Problem("tag", f"{shown(tag)} in another row too", "each tag once"))
    document = row.document
    return FoundMachine(
        number=row.number,
        tag=tag,
        service=str(document.get("service") or "")[:80],
        service_class=str(document.get("service_class") or "").replace("_", " ")[:40],
        stages=str(document.get("stage_count") or "")[:10],
        pinions=len(document.get("pinions") or ()),
        document=document,
        problems=tuple(_line(located(problem, row), problem) for problem in problems),
    )


def _line(place: str, problem: Problem) -> Line:
    path = "" if problem.path == place else f"{problem.path}: "
    message = f" ({problem.message})" if problem.message else ""
    return Line(place, f"{path}found {problem.found}; allowed: {problem.allowed}{message}")
