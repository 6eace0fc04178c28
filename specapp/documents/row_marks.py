"""What a row of a schedule is about: its place is kept with an issued sheet, a changed one gets a bar.

The bar stands in the right margin beside every row that the revision changes, with the revision's
number; rows that follow each other share one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from specapp.documents.book import BODY_SIZE, Book
from specapp.documents.fonts import BOLD
from specapp.documents.sheet import Frame
from specapp.documents.wrapping import fitted

_OFF: Final = 3.2  # from the table's edge to the bar
_BAR: Final = 1.6
_LABEL_OFF: Final = 1.6
_LABEL_ROOM: Final = 6.4
_LABEL: Final = 5.4


@dataclass(frozen=True, slots=True)
class About:
    """The item of the proposal that a row is about, as comments name it, and whether it has changed.

    ``others`` are items that share the row: each is found where the row stands.
    """

    item: str
    is_changed: bool = False
    others: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Spot:
    """A row as it was set: what it is about, its upper and lower edge [pt]."""

    about: About
    top: float
    bottom: float


def mark_rows(
    book: Book, spots: Sequence[Spot], left: float, right: float, fields: Sequence[tuple[str, float, float]]
) -> None:
    """Keep the places of rows set between two edges, and draw the bars of those that have changed.

    ``fields`` are the columns that give something a person can set: its name, left and right edge.
    """
    if book.options.code:
        for spot in spots:
            for item in (spot.about.item, *spot.about.others):
                book.places.add_row(Frame(left, spot.bottom, right, spot.top), item)
            for name, start, end in fields:
                book.places.add_row(Frame(start, spot.bottom, end, spot.top), spot.about.item, name)
    for top, bottom in _runs(spots):
        _bar(book, right, top, bottom)


def paragraph_about(
    book: Book, text: str, items: Sequence[str], *, size: float = BODY_SIZE, after: float = 4.0
) -> None:
    """Set a paragraph and keep its place as that of the items it speaks of."""
    top = book.y
    book.paragraph(text, size, after=after)
    if not book.options.code:
        return
    frame = book.frame
    if book.y >= top:
        top = frame.top  # it has begun, or gone on, in a further frame
    for item in items:
        book.places.add_row(Frame(frame.left, book.y, frame.right, top), item)


def _runs(spots: Sequence[Spot]) -> list[tuple[float, float]]:
    """Return upper and lower edge of changed rows, those that follow each other as one."""
    runs: list[tuple[float, float]] = []
    for spot in spots:
        if not spot.about.is_changed:
            continue
        if runs and abs(runs[-1][1] - spot.top) < 0.05:
            runs[-1] = (runs[-1][0], spot.bottom)
        else:
            runs.append((spot.top, spot.bottom))
    return runs


def _bar(book: Book, edge: float, top: float, bottom: float) -> None:
    ink, x = book.ink, edge + _OFF
    ink.line(x, top - 0.8, x, bottom + 0.8, _BAR)
    changes = book.options.changes
    if changes is None:
        return
    line, size = fitted(
        book.lettering, book.lettering.clean(changes.label), _LABEL_ROOM, BOLD, _LABEL, _LABEL / 2
    )
    ink.text(x + _LABEL_OFF, (top + bottom) / 2 - size * 0.36, line, BOLD, size)
