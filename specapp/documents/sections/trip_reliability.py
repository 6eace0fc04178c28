"""The trip functions and how far each can be relied on, where they have been worked out."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import plain, words
from specapp.domain.proposal import Proposal


def safety_functions(book: Book, proposal: Proposal) -> None:
    """Set one row a function with whatever the proposal says of it; without functions, no section."""
    functions = proposal.safety_functions
    if not functions:
        return
    book.section("Trip reliability", landscape=True, with_next=110)
    names: dict[str, None] = {}
    for function in functions:
        names.update((name, None) for name in function)
    rows = [tuple(plain(function.get(name)) for name in names) for function in functions]
    first, *rest = (words(name) for name in names)
    columns = (Column(first, repeat=True, bold=True), *(Column(name, widest=150) for name in rest))
    set_table(book, Table(columns, rows))
