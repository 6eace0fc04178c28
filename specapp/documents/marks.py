"""The quiet marks of the documents: the status of a value, the state of a thing.

A status is a superscript letter, a state is a shape with its word. Both are ordinary characters, so
that they print in a string cell, are copied with the text and survive a photocopier.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

STATUS_MARKS: Final = {"published": "ᵖ", "common practice": "ᶜ", "from memory": "ᵐ"}
STATUS_LEGEND: Final = (
    "ᵖ published: seen in the source named   ᵐ from memory: confirm against a licensed copy"
    "   ᶜ common practice: a fact of the trade, no source"
)

FULL, HALF, OPEN, BAR = "●", "◐", "○", "▬"
SHAPE_LEGEND: Final = f"{FULL} stands   {HALF} stands with a reservation   {OPEN} not known   {BAR} stopped"

_STATE_SHAPES: Final = {
    "proposed": FULL,
    "placeholder": HALF,
    "hold": BAR,
    "pass": FULL,
    "caution": HALF,
    "not_evaluated": OPEN,
    "fail": BAR,
    "applied": FULL,
    "undecided": OPEN,
    "not_applicable": "–",
    "holds": FULL,
    "broken": BAR,
}
STOPPED: Final = frozenset({"hold", "fail", "broken"})

GOVERNS: Final = "▸"
ACTS: Final = "✕"


def status_mark(status: str) -> str:
    """Return the superscript of a status; a status of no known kind is spelled out in brackets."""
    return STATUS_MARKS.get(status, f" ({status})" if status else "")


def weakest(statuses: Iterable[str]) -> str:
    """Return the weakest status of those given (common practice, then from memory, then published)."""
    found = set(statuses)
    return next((s for s in ("common practice", "from memory", "published") if s in found), "")


def state(word: str) -> str:
    """Return a state as shape and word, "▬ hold"."""
    shape = _STATE_SHAPES.get(word)
    plain = word.replace("_", " ")
    return f"{shape} {plain}" if shape else plain
