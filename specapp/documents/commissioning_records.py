"""Records of what was measured on the installed chain: a table a kind, a sheet a loop curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.marks import BAR, FULL
from specapp.documents.options import Options
from specapp.documents.scene_pdf import set_scene
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE, prose
from specapp.domain.proposal import Proposal
from specapp.drawings.scene import Scene

TITLE: Final = "Records of commissioning"


@dataclass(frozen=True, slots=True)
class RecordRow:
    """A record as printed; every text is as people entered it or as it was judged."""

    kind: str
    item: str
    tags: str
    condition: str
    passes: bool
    written: Sequence[tuple[str, str]]
    results: Sequence[tuple[str, str]]
    limits: Sequence[tuple[str, str]]
    problems: Sequence[str]
    remark: str
    by: str
    rule: str
    source: str
    change: str = ""
    scene: Scene | None = None


_COLUMNS: Final = (
    Column("Item", bold=True, widest=90),
    Column("Tag", widest=80),
    Column("Taken"),
    Column("Verdict"),
    Column("Written down", widest=130),
    Column("Result", widest=150),
    Column("Limits", widest=120),
    Column("Problem, remark", widest=150),
    Column("By, day, instrument", widest=90),
)


def render(proposal: Proposal, rows: Sequence[RecordRow], options: Options) -> bytes:
    """Return the records by kind as PDF, the same bytes for the same records; a sheet a curve."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal)[:1],
        subject="Measured values with calculation, limits and verdict",
        cover=False,
    )
    if not rows:
        book.section("Records", landscape=False)
        book.paragraph("Nothing has been written down.")
    for kind in dict.fromkeys(row.kind for row in rows):
        own = [row for row in rows if row.kind == kind]
        book.section(kind, landscape=True, with_next=110)
        for text in dict.fromkeys(f"{row.rule} Source: {row.source}." for row in own):
            book.paragraph(prose(text), after=4)
        set_table(book, Table(_COLUMNS, [_cells(row) for row in own]))
    for row in rows:
        if row.scene is not None:
            _curve(book, row, row.scene)
    return book.finish()


def _verdict(row: RecordRow) -> str:
    return f"{FULL} pass" if row.passes else f"{BAR} fail"


def _pairs(pairs: Sequence[tuple[str, str]]) -> str:
    return "\n".join(prose(f"{name}: {text}") for name, text in pairs) or NONE


def _cells(row: RecordRow) -> tuple[str, ...]:
    said = "\n".join(prose(text) for text in (*row.problems, row.remark) if text)
    return (
        row.item,
        prose(row.tags) or NONE,
        row.condition,
        _verdict(row),
        _pairs(row.written),
        _pairs(row.results),
        _pairs(row.limits),
        said or NONE,
        prose(row.by),
    )


def _curve(book: Book, row: RecordRow, scene: Scene) -> None:
    book.section(f"{row.kind} of {row.item}, {row.condition}", landscape=False, new_sheet=True)
    book.paragraph(f"{_verdict(row)} {prose(row.by)}", font=BOLD)
    for text in (*row.problems, row.change, row.remark):
        if text:
            book.paragraph(prose(text), after=2)
    book.paragraph("; ".join(prose(f"{name} {text}") for name, text in row.results))
    set_scene(book, scene)
