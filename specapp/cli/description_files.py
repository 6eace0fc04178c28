"""Files that descriptions come from, read no further than a description may be long."""

from __future__ import annotations

import os
import stat
import sys
from collections.abc import Sequence
from pathlib import Path

from specapp.cli.terminal import Refusal, refuse
from specapp.domain.json_document import LARGEST_BYTES
from specapp.domain.problems import DOCUMENT, Problem

STANDARD_INPUT = "-"
TABLES = (".csv", ".xlsx")
OTHER_TABLES = (".xls", ".xlsm", ".xlsb", ".ods", ".tsv")


def is_list(paths: Sequence[str]) -> bool:
    """Return whether the paths stand for a list of machines and not for one description."""
    return len(paths) > 1 or suffix(paths[0]) in (*TABLES, *OTHER_TABLES) or os.path.isdir(paths[0])


def read_description(path: str) -> bytes:
    """Return the bytes of one description. Raises Refusal."""
    return read_file(path, LARGEST_BYTES)


def read_file(path: str, largest: int) -> bytes:
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
        raise Refusal([unreadable(path, error)]) from None


def unreadable(path: str, error: Exception) -> Problem:
    """Return the problem that a file or folder cannot be read."""
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    found = f'nothing to read at "{path}" ({reason[0].lower()}{reason[1:]})'
    return Problem(DOCUMENT, found, "a file that can be read")


def suffix(path: str) -> str:
    """Return the suffix of a file's name in small letters, its dot included."""
    return Path(path).suffix.casefold()
