"""Counts of one thing taken in two places."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.marks import state
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import plain
from specapp.domain.proposal import Proposal


def counts(book: Book, proposal: Proposal) -> None:
    book.section("Reconciliation", landscape=False)
    rows = [
        (line.statement, plain(line.left), plain(line.right), state("holds" if line.holds else "broken"))
        for line in proposal.reconciliation
    ]
    columns = (
        Column("Statement", bold=True, widest=330),
        Column("Left", "right", widest=110),
        Column("Right", "right", widest=110),
        Column("Result"),
    )
    set_table(book, Table(columns, rows))
