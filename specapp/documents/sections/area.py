"""The hazardous area: what each point must be marked with."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE, plain, words
from specapp.domain.proposal import Proposal


def hazardous_area(book: Book, proposal: Proposal) -> None:
    """Set the classification told, then one row for all points with the same requirement."""
    book.section("Hazardous area", landscape=False)
    book.paragraph(f"Classification: {plain(proposal.machine.get('hazardous_area'))}.")
    groups: dict[tuple[str, ...], list[str]] = {}
    for point in proposal.points:
        place = point.installation
        zone = f"zone {place.zone}" if place.zone is not None else ""
        division = f"division {place.division}" if place.division is not None else ""
        requirement = (
            zone or division or "unclassified",
            place.equipment_protection_level or NONE,
            words(place.protection),
            place.required_marking or NONE,
            words(point.transducer.type),
        )
        groups.setdefault(requirement, []).append(point.tag)
    rows = [(*requirement, str(len(tags)), ", ".join(tags)) for requirement, tags in groups.items()]
    columns = (
        Column("Area"),
        Column("Level", widest=50),
        Column("Protection", widest=90),
        Column("Required marking", bold=True, widest=130),
        Column("Transducer", widest=100),
        Column("Points", "right"),
        Column("Tags", widest=230),
    )
    set_table(book, Table(columns, rows))
