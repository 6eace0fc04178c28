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
        self._known = 0

    def expect(self, known: int) -> None:
        """Take note of how many there are, as far as is known by now."""
        self._known = known

    def show(self, done: int) -> None:
        """Draw the bar, at most ten times a second and always at the end."""
        now = monotonic()
        if not self._on or (done < self._known and now - self._drawn_at < _LEAST_SECONDS):
            return
        self._drawn_at = now
        filled = _WIDTH * done // max(self._known, 1)
        bar = "━" * filled + "╌" * (_WIDTH - filled)
        self._write(f"\r\x1b[K{bar} {done} of {self._known}")

    def clear(self) -> None:
        """Take the bar off its line, before something else is written there."""
        if self._on:
            self._write("\r\x1b[K")

    def _write(self, text: str) -> None:
        sys.stderr.write(text)
        sys.stderr.flush()
