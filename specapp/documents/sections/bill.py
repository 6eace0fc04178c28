"""The bill of materials."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import grouped_keys, numbered_list, prose, words
from specapp.domain.proposal import Proposal
from specapp.rulebook.compared_items import row_key


def bill_of_materials(book: Book, proposal: Proposal) -> None:
    book.section("Bill of materials", landscape=True, with_next=130)
    trains = proposal.machine.get("trains") or ()
    built = f" of all {len(trains)} trains" if len(trains) > 1 else ""
    book.paragraph(f"Quantities{built} without spares; spares are loose, once for each type.")
    rows = [
        (
            str(i + 1),
            line.item,
            prose(line.description),
            str(line.quantity),
            str(line.spares) if line.spares else "–",
            line.unit,
            words(line.supplied_by),
            grouped_keys(line.points),
            numbered_list(line.trace),
        )
        for i, line in enumerate(proposal.bill_of_materials)
    ]
    columns = (
        Column("No.", "right"),
        Column("Item", bold=True, widest=150),
        Column("Description", widest=240),
        Column("Quantity", "right"),
        Column("Spares", "right"),
        Column("Unit"),
        Column("Supplied by", widest=90),
        Column("Points", widest=360),
        Column("Reason", widest=44),
    )
    about = [
        About(f"bill/{line.item}", book.options.changed("bill", row_key("bill_of_materials", line)))
        for line in proposal.bill_of_materials
    ]
    set_table(book, Table(columns, rows, about=about))
