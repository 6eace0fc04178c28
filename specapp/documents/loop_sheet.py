"""The parts of a loop's sheet in the descriptive system document: sketch, comparison, cable, budget, tags."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.field_schedules import cable_number, tag_of, trains
from specapp.documents.fonts import BOLD, TEXT
from specapp.documents.ink import HAIRLINE, THIN
from specapp.documents.loop_rows import band_rows, budget_rows, cable_rows, comparison_rows, turning_text
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.wording import NONE, plain, words
from specapp.domain.proposal import Point, Proposal
from specapp.rulebook.entity_comparison import EntityComparison
from specapp.rulebook.loop_budget import SupplyBudget
from specapp.rulebook.loop_review import LoopReview
from specapp.rulebook.loop_types import LoopType

_BOX_WIDTH = 108.0
_BOX_HEIGHT = 46.0
_SKETCH_HEIGHT = 92.0


def set_sketch(book: Book, proposal: Proposal, loop: LoopType, *, isolated: bool) -> None:
    """Draw the loop from left to right: device, box, area boundary, isolator, what reads it."""
    book.need(_SKETCH_HEIGHT + 8)
    ink, left = book.ink, book.frame.left
    top = book.y - 14
    reads = dict.fromkeys(_reader(proposal, point) for point in loop.points)
    stations = [
        (loop.title, loop.points[0].installation.required_marking or ""),
        ("Junction box", ""),
        *([("Galvanic isolator", "associated apparatus")] if isolated else []),
        (" and ".join(reads), "power supply"),
    ]
    gap = (min(book.frame.width, 560.0) - len(stations) * _BOX_WIDTH) / (len(stations) - 1)
    middle = top - _BOX_HEIGHT / 2
    for index, (name, below) in enumerate(stations):
        x = left + index * (_BOX_WIDTH + gap)
        if index:
            pitch = 4.0
            wires = 2 if loop.is_current_loop else 3
            for wire in range(wires):
                y = middle + (wire - (wires - 1) / 2) * pitch
                ink.line(x - gap, y, x, y, HAIRLINE)
            ink.dashed("1.5 1.5")
            ink.line(x - gap, middle - 9, x, middle - 9, HAIRLINE)
            ink.dashed("")
        ink.rectangle(x, top - _BOX_HEIGHT, _BOX_WIDTH, _BOX_HEIGHT, THIN, blank=True)
        _lettered(book, x + _BOX_WIDTH / 2, top - 18, name, BOLD, 7.2)
        _lettered(book, x + _BOX_WIDTH / 2, top - 31, below, TEXT, 6.2)
    boundary = left + 2 * _BOX_WIDTH + 1.5 * gap
    if loop.points[0].installation.protection is not None:
        ink.dashed("6 2 1 2")
        ink.line(boundary, top + 8, boundary, top - _BOX_HEIGHT - 20, THIN)
        ink.dashed("")
        ink.text_right(boundary - 5, top - _BOX_HEIGHT - 16, "classified area", TEXT, 6.4)
        ink.text(boundary + 5, top - _BOX_HEIGHT - 16, "safe area", TEXT, 6.4)
    # The shield goes to earth once, beside what reads the loop.
    earth_x = left + (len(stations) - 1) * (_BOX_WIDTH + gap) - 8
    ink.line(earth_x, middle - 9, earth_x, top - _BOX_HEIGHT - 6, HAIRLINE)
    for step in range(3):
        half = 5 - 1.6 * step
        y = top - _BOX_HEIGHT - 6 - 2 * step
        ink.line(earth_x - half, y, earth_x + half, y, HAIRLINE)
    ink.text(earth_x + 9, top - _BOX_HEIGHT - 10, "shield, earthed once", TEXT, 6.0)
    book.space(_SKETCH_HEIGHT)


def _lettered(book: Book, x: float, y: float, text: str, font: str, size: float) -> None:
    """Set a centred line, smaller where the box is too narrow for it."""
    line = book.lettering.clean(text)
    width = book.lettering.width(line, font, size)
    if width > _BOX_WIDTH - 6:
        size *= (_BOX_WIDTH - 6) / width
    book.ink.text_centred(x, y, line, font, round(size, 2))


def _reader(proposal: Proposal, point: Point) -> str:
    for cable in proposal.architecture.cables:
        if point.key in (cable.get("points") or ()):
            name = plain(cable.get("to"))
            racks = {rack.key for rack in proposal.architecture.racks}
            return f"rack {name}" if name in racks else name
    return NONE


def set_comparison(book: Book, compared: EntityComparison) -> None:
    """Set the entity comparison: a line each, its standing with shape and word."""
    book.heading("Entity comparison", with_next=90)
    columns = (
        Column("Quantity", bold=True),
        Column("Gives or has", "right"),
        Column("Figure", "right"),
        Column(""),
        Column("Bears or permits", "right"),
        Column("Figure", "right"),
        Column("Unit"),
        Column("Standing"),
        Column("Note", widest=130),
    )
    set_table(book, trimmed(columns, comparison_rows(compared)))
    for note in compared.notes:
        book.paragraph(note, after=2)


def set_cable(book: Book, review: LoopReview) -> None:
    """Set the longest cable by each thing that limits it, the governing one marked."""
    rows = cable_rows(review)
    if not rows:
        return
    book.heading("Longest cable", with_next=60)
    columns = (Column("Limited by", widest=140), Column("Length, m", "right"), Column("With", widest=330))
    set_table(book, Table(columns, rows))


def set_budget(book: Book, budget: SupplyBudget) -> None:
    """Set the supply budget as the sum it is."""
    book.heading("Supply budget", with_next=110)
    columns = (
        Column("Part", bold=True),
        Column("Figure", "right"),
        Column("Unit"),
        Column("Standing", widest=300),
    )
    set_table(book, Table(columns, budget_rows(budget)))
    book.paragraph(turning_text(budget))


def set_bands(book: Book, proposal: Proposal, loop: LoopType) -> None:
    """Set the fault bands of a current or a gap voltage."""
    rows = band_rows(proposal, loop)
    if loop.is_current_loop:
        book.heading("Bands of the loop current (NAMUR NE 43)", with_next=100)
        set_table(book, Table((Column("mA", "right"), Column("Means", widest=200)), rows))
    elif rows:
        book.heading("Bands of the gap voltage", with_next=60)
        set_table(book, Table((Column("V", "right"), Column("Means", widest=200)), rows))


def set_tags(book: Book, proposal: Proposal, loop: LoopType) -> None:
    """Set the tags that this sheet stands for, every train, with box and cable."""
    numbers = {
        str(key): cable_number(index)
        for index, cable in enumerate(proposal.architecture.cables)
        for key in cable.get("points") or ()
    }
    rows = [
        (
            tag_of(point, train),
            words(point.quantity),
            point.bearing or point.shaft,
            point.installation.junction_box or NONE,
            numbers.get(point.key, NONE),
        )
        for train in trains(proposal)
        for point in loop.points
    ]
    book.heading(f"Tags of this sheet ({len(rows)})", with_next=60)
    columns = (
        Column("Tag", bold=True, repeat=True),
        Column("Quantity"),
        Column("At"),
        Column("Box"),
        Column("Cable"),
    )
    about = [
        About(point.key, book.options.changed_point(point.key))
        for _ in trains(proposal)
        for point in loop.points
    ]
    set_table(book, Table(columns, rows, about=about))
