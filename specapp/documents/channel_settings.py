"""Setting sheets: one sheet a channel, in the order the signal takes.

A held setpoint is not released: its sheet says so, says why, and gives no figure to set.
"""

from __future__ import annotations

from typing import Final

from specapp.documents.book import Book
from specapp.documents.channel_facts import Fact, Known, known_of, place_text, steps
from specapp.documents.fonts import BOLD, TEXT
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.ink import HAIRLINE, THIN
from specapp.documents.marks import BAR, state
from specapp.documents.options import Options
from specapp.documents.row_marks import About, Spot, mark_rows
from specapp.documents.tables import Column, set_table, trimmed
from specapp.documents.wording import NONE
from specapp.documents.wrapping import wrapped
from specapp.domain.proposal import Point, Proposal

TITLE: Final = "Channel setting sheets"

_SIZE: Final = 8.0
_LEADING: Final = 12.0
_STATION: Final = 24.0
_LABEL: Final = 118.0
_AS_LEFT: Final = 96.0


def render(proposal: Proposal, options: Options) -> bytes:
    """Return one setting sheet a point as PDF, the same bytes for the same proposal and options."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal),
        subject="Settings of each measuring channel, in signal-path order",
        cover=False,
    )
    known = known_of(proposal)
    _opening(book, proposal, known)
    for point in proposal.points:
        _sheet(book, point, known)
    return book.finish()


def _opening(book: Book, proposal: Proposal, known: Known) -> None:
    """Set the cautions in full, then which channels there are and what of them is released."""
    book.section("Channels", landscape=False, new_sheet=True, numbered=False)
    for i, caution in enumerate(proposal.cautions):
        book.paragraph(f"{i + 1}.  {caution}", font=BOLD if i == 0 else TEXT, after=1)
    book.space(6)
    rows = [
        (
            point.tag,
            point.key,
            place_text(known.places.get(point.key)),
            *(
                "" if setpoint is None else state(setpoint.status)
                for setpoint in (point.setpoints.alarm, point.setpoints.trip)
            ),
        )
        for point in proposal.points
    ]
    columns = (
        Column("Tag", repeat=True, bold=True),
        Column("Point"),
        Column("Channel"),
        Column("Alarm"),
        Column("Trip"),
    )
    set_table(book, trimmed(columns, rows, about=[_about(book, point) for point in proposal.points]))


def _about(book: Book, point: Point) -> About:
    """Return what a point's sheet is about; it says all of the point, so that any change is one of it."""
    options = book.options
    return About(
        point.key, options.changed("setpoints", point.voting_group) or options.changed_point(point.key)
    )


def _sheet(book: Book, point: Point, known: Known) -> None:
    book.section(f"{point.tag}   {point.key}", landscape=False, new_sheet=True, numbered=False)
    book.paragraph(point.title, after=6)
    ink, frame = book.ink, book.frame
    ink.text_right(min(frame.right, frame.left + 560), book.y, "As left", TEXT, 6.5)
    book.space(4)
    for index, (name, facts) in enumerate(steps(point, known, book.options.display_units), 1):
        _step(book, index, name, facts, _about(book, point))
    _signatures(book)


def _step(book: Book, index: int, name: str, facts: list[Fact], about: About) -> None:
    """Set a station of the signal path: a numbered circle on the path, its facts beside it."""
    right = min(book.frame.right, book.frame.left + 560)
    x = book.frame.left + _STATION + _LABEL
    width = right - _AS_LEFT - 8 - x
    clean = book.lettering.clean
    facts = [fact for fact in facts if fact[1] not in ("", NONE)] or [("", "nothing told or proposed", False)]
    lines = [wrapped(book.lettering, clean(value), width, TEXT, _SIZE) for _, value, _ in facts]
    book.need(sum(map(len, lines)) * _LEADING + 24)
    ink = book.ink
    top = book.y
    ink.text(book.frame.left + _STATION, top - 9, name, BOLD, 8.4)
    book.space(13)
    for (label, value, write_in), cell in zip(facts, lines, strict=True):
        height = len(cell) * _LEADING
        y = book.y - 8
        ink.text(book.frame.left + _STATION, y, clean(label), TEXT, _SIZE)
        if value.startswith(BAR):
            ink.hatch(right - _AS_LEFT, book.y - height, _AS_LEFT, height)
        for line in cell:
            ink.text(x, y, line, BOLD if write_in else TEXT, _SIZE)
            y -= _LEADING
        if write_in:
            ink.line(right - _AS_LEFT, book.y - 9.2, right, book.y - 9.2, HAIRLINE)
        book.space(height + 0.6)
    book.space(6)
    mark_rows(book, [Spot(about, top, book.y)], book.frame.left, right, [])
    centre = book.frame.left + 8
    ink.line(centre, top - 1, centre, book.y - 1, THIN)
    ink.circle(centre, top - 6.4, 6, THIN, blank=True)
    ink.text_centred(centre, top - 8.8, str(index), BOLD, 6.8)


def _signatures(book: Book) -> None:
    book.need(34)
    left = book.frame.left + _STATION
    right = min(book.frame.right, book.frame.left + 560)
    y = book.y - 22
    pitch = (right - left) / 4
    for i, label in enumerate(("Set by", "Date", "Checked by", "Date")):
        book.ink.line(left + i * pitch, y, left + (i + 1) * pitch - 10, y, HAIRLINE)
        book.ink.text(left + i * pitch, y - 7.5, label, TEXT, 6)
    book.space(34)
