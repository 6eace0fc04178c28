"""Who supplies each link of the measuring chains."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.marks import FULL, HALF
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import words
from specapp.domain.proposal import Proposal

_OWNERS_IN_ORDER = ("machine_maker", "system_supplier", "installer", "purchaser", "existing")


def matrix(book: Book, proposal: Proposal) -> None:
    """Set links by owners; every link has exactly one owner."""
    book.section("Responsibility matrix", landscape=False, new_sheet=True)
    book.paragraph(f"{FULL} told   {HALF} assumed, to be agreed")
    found = {line.owner for line in proposal.responsibility}
    owners = [*_OWNERS_IN_ORDER, *sorted(found - set(_OWNERS_IN_ORDER))]
    rows = [
        (
            words(line.link),
            *((HALF if line.assumed else FULL) if line.owner == owner else "" for owner in owners),
            line.text,
        )
        for line in proposal.responsibility
    ]
    columns = (
        Column("Link", bold=True),
        *(Column(words(owner), "centre") for owner in owners),
        Column("Note", widest=200),
    )
    about = [About("", book.options.changed("responsibility", line.link)) for line in proposal.responsibility]
    set_table(book, Table(columns, rows, about=about))
