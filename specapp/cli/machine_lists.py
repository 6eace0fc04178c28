"""Where descriptions come from: one file, several, a folder, a workbook or a CSV list."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from specapp.cli.terminal import Refusal, refuse
from specapp.domain.json_document import LARGEST_BYTES
from specapp.domain.machine_table import TableRow, located, read_rows
from specapp.domain.problems import DOCUMENT, InputErrors, Problem

STANDARD_INPUT = "-"
_LARGEST_TABLE_BYTES = 10_000_000
# Readers by suffix: the library that reads workbooks is imported only when there is one.
_TABLES = {
    ".csv": ("specapp.domain.machine_csv", "read_csv"),
    ".xlsx": ("specapp.domain.machine_workbook", "read_workbook"),
}
_OTHER_TABLES = (".xls", ".xlsm", ".xlsb", ".ods", ".tsv")


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


def is_list(paths: Sequence[str]) -> bool:
    """Return whether the paths stand for a list of machines and not for one description."""
    return len(paths) > 1 or _suffix(paths[0]) in (*_TABLES, *_OTHER_TABLES) or os.path.isdir(paths[0])


def read_description(path: str) -> bytes:
    """Return the bytes of one description. Raises Refusal."""
    return _read(path, LARGEST_BYTES)


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
        return [Told(path, problems=(_unreadable(path, error),))]
    files: list[str | Told] = [
        os.path.join(path, name)
        for name in names
        if _suffix(name) in (".json", *_TABLES) and not name.startswith((".", "~$"))
    ]
    allowed = "a folder with .json, .csv or .xlsx files"
    return files or [Told(path, problems=(Problem(DOCUMENT, "a folder without machines", allowed),))]


def _told_in(path: str) -> list[Told]:
    name = "standard input" if path == STANDARD_INPUT else path
    suffix = _suffix(path)
    try:
        if suffix in _TABLES:
            return [Told(name, row.document, row.problems, row) for row in _table(path, suffix)]
        if suffix in _OTHER_TABLES:
            raise refuse(DOCUMENT, f"a {suffix} file", "a list of machines saved as .xlsx or .csv")
        return [Told(name, read_description(path))]
    except (InputErrors, Refusal) as error:
        return [Told(name, problems=error.problems)]


def _table(path: str, suffix: str) -> tuple[TableRow, ...]:
    module, function = _TABLES[suffix]
    data = _read(path, _LARGEST_TABLE_BYTES)
    return read_rows(getattr(import_module(module), function)(data))


def _read(path: str, largest: int) -> bytes:
    """Return a file's bytes, without reading more than the limit of a file that may never end."""
    if path == STANDARD_INPUT:
        return sys.stdin.buffer.read(largest + 1)
    try:
        with open(path, "rb") as stream:
            status = os.fstat(stream.fileno())
            if stat.S_ISREG(status.st_mode) and status.st_size > largest:
                raise refuse(DOCUMENT, f"{status.st_size} bytes", f"at most {largest} bytes")
            return stream.read(largest + 1)
    except (OSError, ValueError) as error:
        raise Refusal([_unreadable(path, error)]) from None


def _unreadable(path: str, error: Exception) -> Problem:
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    found = f'nothing to read at "{path}" ({reason[0].lower()}{reason[1:]})'
    return Problem(DOCUMENT, found, "a file that can be read")


def _suffix(path: str) -> str:
    return Path(path).suffix.casefold()
