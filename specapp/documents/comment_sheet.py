"""The comment sheet: every comment in a row with its replies, then the drawings that comments stand on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from specapp.documents.book import Book
from specapp.documents.options import Options
from specapp.documents.scene_pdf import set_scene, suits_landscape
from specapp.documents.sheet import TitleBlock
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.wording import NONE
from specapp.drawings.scene import Scene

TITLE: Final = "Comment sheet"

_SHORT: Final = 160
_COLUMNS: Final = (
    Column("No.", "right", repeat=True, bold=True),
    Column("Where", widest=105),
    Column("Field"),
    Column("Category, discipline", widest=70),
    Column("Due"),
    Column("By", widest=70),
    Column("Comment", widest=215),
    Column("Proposed"),
    Column("Replies", widest=215),
    Column("Code"),
    Column("State", widest=64),
)


@dataclass(frozen=True, slots=True)
class CommentLine:
    """One comment as papers print it. Dates are ISO dates; what is not told is empty.

    ``uid`` names the comment outside. ``replies`` are whole lines; ``state`` is shape and word.
    """

    number: int
    uid: str
    where: str
    field: str
    category: str
    discipline: str
    due: str
    by: str
    written: str
    text: str
    proposed: str
    replies: tuple[str, ...]
    code: str
    state: str


@dataclass(frozen=True, slots=True)
class MarkedDrawing:
    """A drawing with the numbered marks on it, and the comments they stand for."""

    scene: Scene
    lines: tuple[CommentLine, ...]


@dataclass(frozen=True, slots=True)
class CommentSheet:
    """What a comment sheet says; ``audience`` and ``selection`` say in words which comments it holds."""

    machine: str
    subject: str
    audience: str
    selection: str
    lines: tuple[CommentLine, ...]
    drawings: tuple[MarkedDrawing, ...] = ()


def title_block_of(sheet: CommentSheet, options: Options) -> TitleBlock:
    return TitleBlock(
        project=options.project,
        machine=sheet.machine,
        title=f"{TITLE}, {sheet.subject}",
        revision=options.revision,
        date=options.issued_on,
        standing=options.standing,
        setting_units=NONE,
        to_confirm=NONE,
        prepared=options.prepared,
        checked="",
        approved="",
    )


def render(sheet: CommentSheet, options: Options) -> bytes:
    """Return the sheet as PDF, the same bytes for the same comments and options."""
    book = Book(
        options,
        title_block_of(sheet, options),
        (f"Comments for: {sheet.audience}. {sheet.selection}",),
        subject="Comments with their replies, and the drawings they stand on",
        cover=False,
    )
    book.section(f"{TITLE}, {sheet.subject}", landscape=True, numbered=False)
    count = len(sheet.lines)
    book.paragraph(f"{count} comment{'' if count == 1 else 's'} for: {sheet.audience}. {sheet.selection}")
    set_table(book, trimmed(_COLUMNS, [_row(line) for line in sheet.lines]))
    for drawing in sheet.drawings:
        _drawing(book, drawing)
    return book.finish()


def _row(line: CommentLine) -> tuple[str, ...]:
    return (
        str(line.number),
        line.where,
        line.field,
        f"{line.category}\n{line.discipline}",
        line.due or NONE,
        f"{line.by}\n{line.written}",
        line.text,
        line.proposed,
        "\n".join(line.replies),
        line.code,
        line.state,
    )


def _drawing(book: Book, drawing: MarkedDrawing) -> None:
    landscape = suits_landscape(drawing.scene, book.options.page_size)
    book.section(f"Marks on: {drawing.scene.title}", landscape=landscape, new_sheet=True, numbered=False)
    set_scene(book, drawing.scene)
    columns = (
        Column("Mark", "right", repeat=True, bold=True),
        Column("Where", widest=150),
        Column("Comment", widest=330),
        Column("State", widest=70),
    )
    rows = [(str(line.number), line.where, _short(line.text), line.state) for line in drawing.lines]
    set_table(book, Table(columns, rows))


def _short(text: str) -> str:
    one_line = " ".join(text.split())
    return one_line if len(one_line) <= _SHORT else f"{one_line[: _SHORT - 1]}…"
