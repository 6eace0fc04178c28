"""Where descriptions come from: one file, several, a folder, a workbook or a CSV list."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from specapp.cli.description_files import (
    OTHER_TABLES,
    STANDARD_INPUT,
    TABLES,
    read_description,
    read_file,
    suffix,
    unreadable,
)
from specapp.cli.terminal import Refusal, refuse
from specapp.domain.machine_table import TableRow, located, read_rows
from specapp.domain.problems import DOCUMENT, InputErrors, Problem

_LARGEST_TABLE_BYTES = 10_000_000
# Readers by suffix: the library that reads workbooks is imported only when there is one.
_READERS = {
    ".csv": ("specapp.domain.machine_csv", "read_csv"),
    ".xlsx": ("specapp.domain.machine_workbook", "read_workbook"),
}


@dataclass(frozen=True, slots=True)
class Told:
    """One description as it was found: what to call it, its document, its row where it stood in a table.

    `problems` tell why there is none (None), or what is wrong with single cells.
    """

    name: str
    document: bytes | Mapping[str, Any] | None = None
    problems: tuple[Problem, ...] = ()
    row: TableRow | None = None

    def prefix(self, problem: Problem) -> str:
        """Return what a problem's line begins with: the file, and the cell in a table."""
        return f"{self.name}, {located(problem, self.row)}: " if self.row else f"{self.name}: "


def told_machines(paths: Sequence[str]) -> Iterator[tuple[Told, int]]:
    """Return every description in order, each with the number of descriptions known by then."""
    files = [file for path in paths for file in _files(path)]
    known = len(files)
    for file in files:
        told = [file] if isinstance(file, Told) else _told_in(file)
        known += len(told) - 1
        for each in told:
            yield each, known


def _files(path: str) -> list[str | Told]:
    if not os.path.isdir(path):
        return [path]
    try:
        names = sorted(os.listdir(path))
    except OSError as error:
        return [Told(path, problems=(unreadable(path, error),))]
    files: list[str | Told] = [
        os.path.join(path, name)
        for name in names
        if suffix(name) in (".json", *TABLES) and not name.startswith((".", "~$"))
    ]
    allowed = "a folder with .json, .csv or .xlsx files"
    return files or [Told(path, problems=(Problem(DOCUMENT, "a folder without machines", allowed),))]


def _told_in(path: str) -> list[Told]:
    name = "standard input" if path == STANDARD_INPUT else path
    kind = suffix(path)
    try:
        if kind in TABLES:
            return [Told(name, row.document, row.problems, row) for row in _table(path, kind)]
        if kind in OTHER_TABLES:
            raise refuse(DOCUMENT, f"a {kind} file", "a list of machines saved as .xlsx or .csv")
        return [Told(name, read_description(path))]
    except (InputErrors, Refusal) as error:
        return [Told(name, problems=error.problems)]


def _table(path: str, kind: str) -> tuple[TableRow, ...]:
    module, function = _READERS[kind]
    data = read_file(path, _LARGEST_TABLE_BYTES)
    return read_rows(getattr(import_module(module), function)(data))
