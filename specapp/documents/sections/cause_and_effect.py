"""Causes and their effects as a matrix, and the protection by process values beside it."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.marks import ACTS, status_mark
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.wording import NONE, measure, numbered_list, prose, words
from specapp.domain.proposal import Proposal
from specapp.rulebook.compared_items import row_key


def matrix(book: Book, proposal: Proposal) -> None:
    """Set one row a cause and level, one column an effect."""
    book.section("Cause and effect", landscape=True, with_next=130)
    book.paragraph(f"{ACTS} acts. Valves and pumps are acted on by the shutdown system, by others.")
    effects = list(dict.fromkeys(effect for row in proposal.cause_and_effect for effect in row.effects))
    notes: dict[str, int] = {}
    rows = [
        (
            row.cause,
            words(row.level),
            prose(row.setting) or NONE,
            measure(row.delay),
            row.voting or NONE,
            *(ACTS if effect in row.effects else "" for effect in effects),
            words(row.acts_in),
            row.relay or NONE,
            str(notes.setdefault(row.note, len(notes) + 1)) if row.note else "",
            numbered_list(row.trace),
        )
        for row in proposal.cause_and_effect
    ]
    columns = (
        Column("Cause", repeat=True, bold=True, widest=130),
        Column("Level", repeat=True, widest=70),
        Column("Setting", "right", widest=160),
        Column("Delay", "right"),
        Column("Voting"),
        *(Column(words(effect), "centre") for effect in effects),
        Column("Acts in", widest=80),
        Column("Relay", widest=80),
        Column("Note", "right"),
        Column("Reason", "right", widest=44),
    )
    about = [
        About(row.cause, book.options.changed("cause_and_effect", row_key("cause_and_effect", row)))
        for row in proposal.cause_and_effect
    ]
    set_table(book, trimmed(columns, rows, about=about))
    for note, number in notes.items():
        book.paragraph(f"Note {number}.  {note}", size=6.8, after=0)


def process_protection(book: Book, proposal: Proposal) -> None:
    book.section("Process protection", landscape=True, with_next=110)
    book.paragraph("Listed beside the points: not in the channels, not in the bill of materials.")
    rows = [
        (
            words(item.key),
            prose(item.alarm or NONE),
            prose(item.trip or NONE),
            item.voting or NONE,
            words(item.acts_in),
            item.text,
            "; ".join(
                dict.fromkeys(
                    f"{reason.source or 'common practice'}{status_mark(reason.status)}"
                    for reason in item.because
                )
            ),
        )
        for item in proposal.process_protection
    ]
    columns = (
        Column("Protection", bold=True, widest=150),
        Column("Alarm", widest=130),
        Column("Trip", widest=130),
        Column("Voting"),
        Column("Acts in", widest=90),
        Column("What", widest=220),
        Column("Source", widest=170),
    )
    about = [
        About("", book.options.changed("process_protection", item.key))
        for item in proposal.process_protection
    ]
    set_table(book, Table(columns, rows, about=about))
