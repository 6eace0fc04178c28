"""The sheet of questions: what is asked of whom, why, what the answer would change, room for the answer."""

from __future__ import annotations

from typing import Final

from specapp.documents.asking import ASKED, Question, changes_text, questions
from specapp.documents.book import Book
from specapp.documents.fonts import TEXT
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.ink import HAIRLINE
from specapp.documents.options import Options
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE, prose, words
from specapp.domain.proposal import Proposal

TITLE: Final = "Questions"
# Lines to write on, which also keep the columns as wide as handwriting needs.
_ANSWER: Final = "_" * 22
_DOCUMENT: Final = "_" * 20
_COLUMNS: Final = (
    Column("No.", "right", repeat=True, bold=True),
    Column("Question", bold=True, widest=150),
    Column("Why it is asked", widest=210),
    Column("What an answer may change", widest=160),
    Column("Taken until then", widest=80),
    Column("Answer with unit", widest=130),
    Column("Document, revision, page", widest=110),
)


def render(proposal: Proposal, options: Options) -> bytes:
    """Return the questions to everybody as PDF, a section for each, the same bytes for the same proposal."""
    return render_for(proposal, options)


def render_for(proposal: Proposal, options: Options, ask: str = "") -> bytes:
    """Return the questions to one of `ASKED` as PDF, or to everybody."""
    title = f"{TITLE} to the {ASKED[ask]}" if ask else TITLE
    book = Book(
        options,
        title_block(proposal, options, title),
        sheet_notes(proposal),
        subject="Open points, assumptions and setpoints to be advised",
        cover=False,
    )
    for who, name in ASKED.items():
        asked = questions(proposal, who)
        if asked and ask in ("", who):
            _section(book, name, asked)
    if not book.sections:
        book.section(TITLE, landscape=True, new_sheet=True, numbered=False)
        book.paragraph("Nothing is open, assumed or to be advised.")
    return book.finish()


def _section(book: Book, name: str, asked: tuple[Question, ...]) -> None:
    book.section(f"To the {name}", landscape=True, new_sheet=True, numbered=False)
    book.paragraph(
        "Please answer with the unit and name the document, its revision and page. "
        "An answer of “not known yet, by” and a date is an answer too. "
        "Numbers stay with their questions when others are settled before this sheet comes back."
    )
    rows = [_row(question) for question in asked]
    about = [About(question.item or f"assumption/{question.path}") for question in asked]
    set_table(book, Table(_COLUMNS, rows, about=about))
    _signature(book)


def _row(question: Question) -> tuple[str, ...]:
    choices = f"\n{', '.join(words(choice) for choice in question.choices)}" if question.choices else ""
    return (
        str(question.number),
        f"{prose(question.text)}{choices}",
        "\n".join(prose(text) for text in question.because),
        prose(changes_text(question)) or NONE,
        prose(question.taken) or NONE,
        _ANSWER if question.unit in ("", "1") else f"{_ANSWER} {question.unit}",
        _DOCUMENT,
    )


def _signature(book: Book) -> None:
    book.need(40)
    left, width = book.frame.left, min(book.frame.width, 560.0)
    y = book.y - 26
    for number, label in enumerate(("Answered by", "Company", "Date")):
        x = left + number * width / 3
        book.ink.line(x, y, x + width / 3 - 12, y, HAIRLINE)
        book.ink.text(x, y - 7.5, label, TEXT, 6)
    book.space(40)
