"""Counts of one thing taken in two places."""

from __future__ import annotations

from typing import Any

from specapp.documents.book import Book
from specapp.documents.marks import state
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import plain
from specapp.domain.proposal import Proposal, ReconciliationLine


def counts(book: Book, proposal: Proposal) -> None:
    book.section("Reconciliation", landscape=False)
    rows = [
        (
            line.statement,
            _side(line, line.left),
            _side(line, line.right),
            state("holds" if line.holds else "broken"),
        )
        for line in proposal.reconciliation
    ]
    columns = (
        Column("Statement", bold=True, widest=330),
        Column("Left", "right", widest=110),
        Column("Right", "right", widest=110),
        Column("Result"),
    )
    set_table(book, Table(columns, rows))


def _side(line: ReconciliationLine, side: Any) -> str:
    """Return a side of a line: lists that agree are counted, lists that differ are written out."""
    if line.holds and isinstance(side, list | tuple):
        return f"{len(side)} names"
    return plain(side)
