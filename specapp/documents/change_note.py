"""The change note: one page in words on what a revision changes, and why."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from specapp.documents.book import Book
from specapp.documents.change_words import ChangeLine, change_lines
from specapp.documents.front import sheet_notes, standing_line, title_block
from specapp.documents.options import Options
from specapp.documents.row_marks import paragraph_about
from specapp.documents.wording import NONE, prose
from specapp.domain.proposal import Proposal
from specapp.rulebook.comparison import compare

TITLE: Final = "Change note"

_SIZE: Final = 7.6
_LINE: Final = 11.0
_FEWEST_POINTS_LEFT: Final = 46.0
_MOST_CAUSES: Final = 14
_MOST_ITEMS: Final = 4


def render(
    before: Proposal | None, after: Proposal, options: Options, *, replaces: str, holds: Sequence[str] = ()
) -> bytes:
    """Return the note as PDF of one page; what has no room on it is counted, and is in the comparison.

    ``before`` is None for a first issue; ``replaces`` the revision that is replaced, ``holds`` what is
    issued with a hold, a line each.
    """
    book = Book(
        options,
        title_block(after, options, TITLE),
        sheet_notes(after)[:1],
        subject="What this revision changes, and why",
        cover=False,
    )
    head = f"Revision {options.revision}"
    book.section(f"{head} in place of {replaces}" if before else head, landscape=False, numbered=False)
    if before is None:
        book.paragraph("First issue. There is nothing earlier to compare it with.")
        book.paragraph(after.verdict.proposed)
        book.paragraph(standing_line(after, options.standing))
        _holds(book, holds)
        return book.finish()
    found = compare(before, after)
    if found.is_empty:
        book.paragraph(f"Nothing differs from revision {replaces}.")
    if found.causes:
        book.heading("What was changed")
        shown = [prose(cause.text) for cause in found.causes]
        for text in shown[:_MOST_CAUSES]:
            book.paragraph(f"– {text}", _SIZE, after=1)
        if len(shown) > _MOST_CAUSES:
            book.paragraph(f"and {len(shown) - _MOST_CAUSES} more", _SIZE)
    _holds(book, holds)
    _changes(book, change_lines(found))
    return book.finish()


def _holds(book: Book, holds: Sequence[str]) -> None:
    if not holds:
        return
    book.heading(f"On hold: {len(holds)}")
    for text in holds[:_MOST_CAUSES]:
        book.paragraph(f"– {text}", _SIZE, after=1)
    if len(holds) > _MOST_CAUSES:
        book.paragraph(f"and {len(holds) - _MOST_CAUSES} more, on the transmittal", _SIZE)


def _changes(book: Book, subjects: dict[str, list[ChangeLine]]) -> None:
    """Set as many differences as the page holds, and count the others by subject."""
    left: list[str] = []
    for title, lines in subjects.items():
        if book.room < _FEWEST_POINTS_LEFT + 4 * _LINE:
            left.append(f"{title} {len(lines)}")
            continue
        book.heading(title, with_next=0)
        for index, line in enumerate(lines):
            if book.room < _FEWEST_POINTS_LEFT + 2 * _LINE:
                left.append(f"{title} {len(lines) - index}")
                break
            paragraph_about(book, _sentence(line), line.keys[:_MOST_ITEMS], size=_SIZE, after=1)
    if left:
        book.paragraph(f"Further differences, in the comparison of the two: {', '.join(left)}.", _SIZE)


def _sentence(line: ChangeLine) -> str:
    """Return a difference as a sentence short enough for two lines."""
    named = ", ".join(line.items[:_MOST_ITEMS])
    more = len(line.items) - _MOST_ITEMS
    what = f"{named} and {more} more" if more > 0 else named
    if line.field:
        what += f", {line.field}"
    if line.was == NONE:
        change = f"new: {line.now}"
    elif line.now == NONE:
        change = f"gone, was {line.was}"
    else:
        change = f"was {line.was}, is {line.now}"
    why = f" ({line.why[0]}{' and more' if len(line.why) > 1 else ''})" if line.why else ""
    text = f"– {what}: {change}{why}"
    return text if len(text) <= 210 else f"{text[:209]}…"
