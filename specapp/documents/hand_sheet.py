"""The checker's hand sheets: formulas and inputs with empty boxes, the answers on the back of each.

One sheet serves every position whose setpoints come about alike. Whoever works the boxes out by hand has
checked the setpoint without having seen its answer.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD, TEXT
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.ink import HAIRLINE, THIN
from specapp.documents.options import Options
from specapp.documents.wording import words
from specapp.documents.wrapping import wrapped
from specapp.domain.proposal import Point, Proposal
from specapp.rulebook.worked_calculation import WorkedCalculation, WorkedLine, worked_calculations

TITLE: Final = "Hand sheets of the setpoints"

_SIZE: Final = 8.0
_LEADING: Final = 11.0
_LABEL: Final = 150.0
_BOX_WIDTH: Final = 104.0
_BOX_HEIGHT: Final = 17.0


class _Leaf(NamedTuple):
    """What one leaf is about: the positions it serves and their calculations."""

    points: list[Point]
    calculations: tuple[WorkedCalculation, ...]


def render(proposal: Proposal, options: Options) -> bytes:
    """Return a leaf for each different calculation as PDF, the same bytes for the same proposal."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal),
        subject="Setpoints to be worked out by hand, answers on the back",
        cover=False,
    )
    leaves = _leaves(proposal)
    for leaf in leaves:
        _face(book, leaf, answers=False)
        _face(book, leaf, answers=True)
    if not leaves:
        book.section("Hand sheets", landscape=False, new_sheet=True, numbered=False)
        book.paragraph("No setpoint of this machine is worked out by a formula.")
    return book.finish()


def _leaves(proposal: Proposal) -> list[_Leaf]:
    """Return the leaves in the order of the points; positions that differ in place alone share one."""
    found: dict[object, _Leaf] = {}
    for point in proposal.points:
        calculations = tuple(item for item in worked_calculations(proposal, point) if item.lines)
        if calculations:
            alike = (
                point.quantity,
                *((item.given, item.lines, item.rounding, item.by_hand) for item in calculations),
            )
            found.setdefault(alike, _Leaf([], calculations)).points.append(point)
    return list(found.values())


def _face(book: Book, leaf: _Leaf, *, answers: bool) -> None:
    places = ", ".join(dict.fromkeys(point.voting_group for point in leaf.points))
    side = "Answers" if answers else "To be worked out"
    title = f"{side}: {words(leaf.points[0].quantity)}, {places}"
    book.section(title, landscape=False, new_sheet=True, numbered=False)
    # The whole sheet is about one calculation: wherever a remark stands on it, it is on that setpoint.
    book.places.add_row(book.frame, leaf.points[0].voting_group)
    book.paragraph(f"Tags {', '.join(point.tag for point in leaf.points)}", after=6)
    for calculation in leaf.calculations:
        _calculation(book, calculation, answers=answers)
    if not answers:
        _signatures(book)


def _calculation(book: Book, calculation: WorkedCalculation, *, answers: bool) -> None:
    book.heading(calculation.title, with_next=60)
    for given in calculation.given:
        book.paragraph(f"{given.symbol}   {given.meaning}: {given.value}", after=1)
    book.space(4)
    for line in calculation.lines:
        _line(book, line, answers=answers)
    if calculation.rounding:
        whose = "Setting by the rule" if calculation.by_hand else "Setting"
        told = calculation.rounding if answers else "the one that governs, rounded down"
        _boxed(book, f"{whose}: {told}", "", "" if answers else None)
    if calculation.by_hand:
        book.paragraph(calculation.by_hand, after=6)


def _line(book: Book, line: WorkedLine, *, answers: bool) -> None:
    if not line.formula:
        book.paragraph(f"{line.criterion}: not possible, needs {line.needs}", after=3)
        return
    text = f"{line.formula}\n= {line.numbers}" if answers else line.formula
    governs = "   governs" if line.governs else ""
    _boxed(book, text, line.criterion, f"{line.result}{governs}" if answers else None)


def _boxed(book: Book, text: str, label: str, answer: str | None) -> None:
    """Set a formula beside its result; without one, beside an empty box."""
    right = min(book.frame.right, book.frame.left + 560)
    left = book.frame.left + _LABEL
    width = right - _BOX_WIDTH - 10 - left
    clean = book.lettering.clean
    lines = [
        piece
        for part in text.split("\n")
        for piece in wrapped(book.lettering, clean(part), width, TEXT, _SIZE)
    ]
    height = max(len(lines) * _LEADING, _BOX_HEIGHT) + 5
    book.need(height)
    ink, top = book.ink, book.y
    ink.text(book.frame.left, top - 9, clean(label), TEXT, 7.0)
    for number, line in enumerate(lines):
        ink.text(left, top - 9 - number * _LEADING, line, TEXT, _SIZE)
    x = right - _BOX_WIDTH
    if answer is None:
        ink.rectangle(x, top - _BOX_HEIGHT, _BOX_WIDTH, _BOX_HEIGHT, THIN)
    else:
        ink.text(x, top - 9, clean(answer), BOLD, _SIZE)
    book.space(height)


def _signatures(book: Book) -> None:
    book.need(40)
    left, right = book.frame.left, min(book.frame.right, book.frame.left + 560)
    y = book.y - 26
    for number, label in enumerate(("Worked out by", "Date", "Agrees with the sheet's back: yes, no")):
        x = left + number * (right - left) / 3
        book.ink.line(x, y, x + (right - left) / 3 - 12, y, HAIRLINE)
        book.ink.text(x, y - 7.5, label, TEXT, 6)
    book.space(40)
