"""What the commands write: documents on standard output, problems on standard error, one a line."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from pathlib import Path
from unicodedata import category

from specapp.domain.problems import Problem

DONE = 0
FAILED = 1
INPUT_ERROR = 2
PROGRAM_FAULT = 3

_PACKAGE = Path(__file__).parents[1]


class Refusal(Exception):
    """The command ends without a result because of these problems of its input."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(*(problem.line() for problem in self.problems))


def refuse(path: str, found: str, allowed: str, name: str = "") -> Refusal:
    """Return a refusal for one problem."""
    return Refusal([Problem(path, found, allowed, name)])


def write_out(data: bytes) -> None:
    """Write bytes to standard output. Raises BrokenPipeError where the reader has gone, as `| head` does."""
    try:
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    except BrokenPipeError:
        _discard_output()
        raise
    except OSError as error:
        _discard_output()
        raise refuse(
            "output", error.strerror or str(error), "a standard output that takes the result"
        ) from None


def _discard_output() -> None:
    # Python flushes once more when it ends, and would then complain about the same failure.
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def write_problems(problems: Iterable[Problem]) -> None:
    """Write each problem on a line of its own to standard error."""
    for problem in problems:
        write_line(problem.line())


def write_line(text: str) -> None:
    """Write one line to standard error; what would break or steer a terminal is written as an escape."""
    data = f"{printable(text)}\n".encode("utf-8", "backslashreplace")
    sys.stderr.buffer.write(data)
    sys.stderr.buffer.flush()


def printable(text: str) -> str:
    """Return a text in which spaces are plain and every character that does not print is its escape."""
    if text.isprintable():
        return text
    return "".join(_printable(char) for char in text)


def _printable(char: str) -> str:
    if char.isprintable():
        return char
    return " " if category(char) == "Zs" else char.encode("unicode_escape").decode()


def fault_line(error: Exception) -> str:
    """Return one line that says what went wrong in the program and where."""
    place, step = "", error.__traceback__
    while step is not None:
        file = Path(step.tb_frame.f_code.co_filename)
        if _PACKAGE in file.parents:
            place = f" in {file.name}, line {step.tb_lineno}"
        step = step.tb_next
    return f"program: a fault of the program, not of the input{place}: {type(error).__name__}: {error}"
