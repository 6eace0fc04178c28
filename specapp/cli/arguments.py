"""Command arguments whose errors read like every other problem: where, what was found, what is allowed."""

from __future__ import annotations

import argparse
from typing import Any, NoReturn

from specapp.cli.terminal import refuse


class Arguments(argparse.ArgumentParser):
    """A parser that refuses bad arguments in one line and knows no abbreviations."""

    def __init__(self, **settings: Any) -> None:
        super().__init__(allow_abbrev=False, **settings)

    def error(self, message: str) -> NoReturn:
        """Refuse the arguments instead of printing the usage and leaving the process."""
        raise refuse("arguments", message, f"what {self.prog} --help lists")
