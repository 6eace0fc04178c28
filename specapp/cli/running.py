"""Choosing a command by its name and ending it with the right status, whatever happens inside."""

from __future__ import annotations

from collections.abc import Sequence
from importlib import import_module
from typing import cast

from specapp.cli.terminal import (
    DONE,
    INPUT_ERROR,
    PROGRAM_FAULT,
    Refusal,
    fault_line,
    write_line,
    write_problems,
)
from specapp.domain.problems import InputErrors

# Modules by command: each is imported only when it is asked for, so that a command starts fast.
COMMANDS = {
    "propose": "specapp.cli.propose",
    "schema": "specapp.cli.schema",
    "evaluate_bids": "specapp.cli.evaluate_bids",
}
_INTERRUPTED = 130


def main(argv: Sequence[str]) -> int:
    """Run a command (`argv` without the program's name) and return its exit status.

    0 done; 1 a check fails under --strict; 2 an input error, told on standard error; 3 a fault of the
    program itself, told in one line.
    """
    name = argv[0] if argv else ""
    if name not in COMMANDS:
        write_line(f"command: found {name!r}; allowed: {', '.join(COMMANDS)}")
        return INPUT_ERROR
    try:
        return cast(int, import_module(COMMANDS[name]).main(list(argv[1:])))
    except (InputErrors, Refusal) as error:
        write_problems(error.problems)
        return INPUT_ERROR
    except BrokenPipeError:
        return DONE
    except KeyboardInterrupt:
        write_line("interrupted")
        return _INTERRUPTED
    except Exception as error:
        # The edge of the program: people get a line to report, never a traceback.
        write_line(fault_line(error))
        return PROGRAM_FAULT
