"""A progress bar on a terminal, and nothing at all anywhere else."""

from __future__ import annotations

import sys
from time import monotonic

_WIDTH = 30
_LEAST_SECONDS = 0.1


class Progress:
    """Counts what is done on the last line of standard error, where that is a terminal."""

    def __init__(self) -> None:
        self._on = sys.stderr is not None and sys.stderr.isatty()
        self._drawn_at = 0.0

    def show(self, done: int, known: int) -> None:
        """Draw the bar, at most ten times a second and always at the end."""
        now = monotonic()
        if not self._on or (done < known and now - self._drawn_at < _LEAST_SECONDS):
            return
        self._drawn_at = now
        filled = _WIDTH * done // max(known, 1)
        bar = "━" * filled + "╌" * (_WIDTH - filled)
        sys.stderr.write(f"\r\x1b[K{bar} {done} of {known}")
        sys.stderr.flush()

    def clear(self) -> None:
        """Take the bar off its line, before something else is written there."""
        if self._on:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()
            self._drawn_at = 0.0
