"""What governs, what nobody has settled, what was assumed."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.marks import status_mark
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import numbered_list, prose, told, words
from specapp.domain.proposal import Proposal
from specapp.rulebook.compared_items import row_key

_ASKED_IN_ORDER = ("maker", "owner", "purchaser", "supplier")


def governing_documents(book: Book, proposal: Proposal) -> None:
    book.section("Governing documents", landscape=False, new_sheet=True)
    rows = [
        (
            document.standard + (f" Part {document.part}" if document.part else ""),
            document.edition,
            words(document.role) + status_mark(document.status),
            document.note,
        )
        for document in proposal.governing
    ]
    columns = (
        Column("Document", bold=True),
        Column("Edition"),
        Column("Governs"),
        Column("Note", widest=320),
    )
    about = [
        About("", book.options.changed("governing", row_key("governing", document)))
        for document in proposal.governing
    ]
    set_table(book, Table(columns, rows, about=about))


def open_points(book: Book, proposal: Proposal) -> None:
    book.section("Open points", landscape=False)
    if not proposal.open_points:
        book.paragraph("None.")
        return
    book.paragraph(f"{len(proposal.open_points)} points are open, sorted by whom to ask.")
    asked = {point.ask for point in proposal.open_points}
    order = [*(who for who in _ASKED_IN_ORDER if who in asked), *sorted(asked - set(_ASKED_IN_ORDER))]
    rows: list[tuple[str, ...] | Group] = []
    about: list[About | None] = []
    count = 0
    for who in order:
        rows.append(Group(f"Ask the {words(who)}"))
        about.append(None)
        for point in proposal.open_points:
            if point.ask == who:
                count += 1
                rows.append((str(count), prose(point.text), point.needs, numbered_list(point.trace)))
                about.append(About(f"open/{point.key}", book.options.changed("open_points", point.key)))
    columns = (
        Column("No.", "right"),
        Column("Open point", widest=330),
        Column("Needs", widest=150),
        Column("Reason", widest=50),
    )
    set_table(book, Table(columns, rows, about=about))


def assumptions(book: Book, proposal: Proposal) -> None:
    book.section("Assumptions", landscape=False)
    if not proposal.assumptions:
        book.paragraph("None: every value was told.")
        return
    book.paragraph("Sorted by how much another value would change. Told values replace them.")
    rows = [
        (
            assumption.field,
            told(assumption.field, assumption.value, book.options.display_units),
            prose(assumption.because),
            "; ".join(words(change) for change in assumption.changes),
            numbered_list(assumption.trace),
        )
        for assumption in proposal.assumptions
    ]
    columns = (
        Column("Field", bold=True, widest=130),
        Column("Taken as", widest=80),
        Column("Because", widest=210),
        Column("Another value may change", widest=170),
        Column("Reason", widest=50),
    )
    about = [
        About(f"assumption/{assumption.field}", book.options.changed("assumptions", assumption.field))
        for assumption in proposal.assumptions
    ]
    set_table(book, Table(columns, rows, about=about))
