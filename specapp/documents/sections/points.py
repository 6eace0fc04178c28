"""The point schedule: one row a measurement."""

from __future__ import annotations

from itertools import groupby

from specapp.documents.book import Book
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import NONE, measure, range_text, tags_text, words
from specapp.domain.proposal import Point, Proposal

_DETAILS = (
    Column("Tag", repeat=True, bold=True),
    Column("Point", repeat=True, widest=120),
    Column("Quantity", widest=90),
    Column("Stage", "right"),
    Column("Direction"),
    Column("Transducer", widest=110),
    Column("Tip", "right"),
    Column("System", "right"),
    Column("Band", widest=80),
    Column("Range", widest=110),
    Column("Chain"),
    Column("Place", widest=130),
    Column("Box"),
    Column("Voting group", widest=110),
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
    for name, points in groupby(proposal.points, key=lambda point: point.shaft):
        shaft = names.get(name)
        title = f"{name}, {words(shaft.kind)}" if shaft else name
        if shaft and shaft.maker_name:
            title += f", maker's name {shaft.maker_name}"
        rows.append(Group(title))
        rows.extend(_row(book, point) for point in points)
    set_table(book, Table(_DETAILS, rows))


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
        words(transducer.type),
        measure(transducer.tip),
        measure(transducer.system_length),
        transducer.band or NONE,
        "\n".join(ranges),
        words(point.chain),
        words(point.installation.location),
        point.installation.junction_box or NONE,
        NONE if point.voting_group == point.key else point.voting_group,
    )
