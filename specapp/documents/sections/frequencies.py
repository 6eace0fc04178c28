"""The frequencies of the machine, to read a spectrum by."""

from __future__ import annotations

from itertools import groupby

from specapp.documents.book import Book
from specapp.documents.row_marks import About
from specapp.documents.scene_pdf import set_scene
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import NONE, measure, number, numbered_list, prose, words
from specapp.domain.proposal import Proposal
from specapp.drawings.frequency_map import frequency_map_scene
from specapp.rulebook.compared_items import row_key


def frequency_schedule(book: Book, proposal: Proposal) -> None:
    book.section("Frequencies", landscape=False, new_sheet=True)
    set_scene(book, frequency_map_scene(proposal))
    shafts = list(dict.fromkeys(line.shaft for line in proposal.frequencies))
    by_shaft = sorted(proposal.frequencies, key=lambda line: shafts.index(line.shaft))
    rows: list[tuple[str, ...] | Group] = []
    about: list[About | None] = []
    for shaft, lines in groupby(by_shaft, key=lambda line: line.shaft):
        rows.append(Group(shaft))
        about.append(None)
        for line in lines:
            rows.append(
                (
                    words(line.kind),
                    NONE if line.order is None else number(line.order),
                    measure(line.frequency),
                    prose(line.text),
                    numbered_list(line.trace),
                )
            )
            about.append(About(shaft, book.options.changed("frequencies", row_key("frequencies", line))))
    columns = (
        Column("Frequency", bold=True, widest=110),
        Column("Order", "right"),
        Column("Value", "right"),
        Column("Meaning", widest=290),
        Column("Reason", widest=50),
    )
    set_table(book, Table(columns, rows, about=about))
