"""The point schedule: one row a measurement."""

from __future__ import annotations

from itertools import groupby

from specapp.documents.book import Book
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import NONE, measure, on_two_lines, range_text, tags_text, words
from specapp.domain.proposal import Point, Proposal, Transducer

_DETAILS = (
    Column("Tag", repeat=True, bold=True),
    Column("Point", repeat=True, widest=120),
    Column("Quantity", widest=90),
    Column("Stage", "right"),
    Column("Direction", field="angle"),
    Column("Transducer", widest=110),
    Column("Band", widest=80),
    Column("Range", widest=86),
    Column("Chain", field="chain"),
    Column("Place", widest=210),
    Column("Box"),
)


def point_schedule(book: Book, proposal: Proposal) -> None:
    """Set the points by shaft, in the order of the power flow."""
    book.section("Point schedule", landscape=True, new_sheet=True)
    trains = proposal.machine.get("trains") or ()
    if trains:
        book.paragraph(
            f"Points are listed once and built {len(trains)} times, for trains {', '.join(trains)}."
        )
    book.paragraph(
        "Angles are clockwise from the top, seen from the driver's outer end. Side 1 faces the driver."
    )
    names = {shaft.name: shaft for shaft in proposal.shafts}
    rows: list[tuple[str, ...] | Group] = []
    about: list[About | None] = []
    for name, points in groupby(proposal.points, key=lambda point: point.shaft):
        shaft = names.get(name)
        title = f"{name}, {words(shaft.kind)}" if shaft else name
        if shaft and shaft.maker_name:
            title += f", maker's name {shaft.maker_name}"
        rows.append(Group(title))
        about.append(None)
        for point in points:
            rows.append(_row(book, point))
            about.append(About(point.key, book.options.changed_point(point.key)))
    set_table(book, Table(_DETAILS, rows, about=about))


def _row(book: Book, point: Point) -> tuple[str, ...]:
    display = book.options.display_units
    transducer = point.transducer
    axial = point.quantity == "axial_position"
    ranges = [range_text(point.range, display, axial=axial)]
    ranges += [
        f"{words(reading.quantity)} {range_text(reading.range, display)}"
        for reading in point.further_readings
    ]
    direction = point.direction or NONE
    return (
        tags_text(point),
        point.key,
        words(point.quantity),
        NONE if point.stage is None else str(point.stage),
        direction if point.angle is None else f"{direction} {measure(point.angle)}",
        _transducer(transducer),
        transducer.band or NONE,
        on_two_lines("\n".join(ranges)),
        words(point.chain),
        words(point.installation.location),
        point.installation.junction_box or NONE,
    )


def _transducer(transducer: Transducer) -> str:
    sizes = [
        f"{measure(size)} {what}"
        for size, what in ((transducer.tip, "tip"), (transducer.system_length, "system"))
        if size is not None
    ]
    kind = words(transducer.type)
    return f"{kind}\n{', '.join(sizes)}" if sizes else kind
