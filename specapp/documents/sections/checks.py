"""The installation checks: what fails first, then what passes with a reservation, then the rest."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.marks import state
from specapp.documents.tables import Column, Group, Table, set_table
from specapp.documents.wording import NONE, measure, numbered_list
from specapp.domain.proposal import Check, Proposal

_RESULTS = (
    ("fail", "Fails"),
    ("caution", "Cautions"),
    ("not_evaluated", "Not evaluated"),
    ("pass", "Passes"),
)
_COLUMNS = (
    Column("Result", repeat=True),
    Column("Check", repeat=True, bold=True, widest=130),
    Column("Subject", widest=110),
    Column("Found", "right"),
    Column("Limit", "right"),
    Column("Finding", widest=280),
    Column("Remedy, or what is missing", widest=220),
    Column("Reason", widest=50),
)


def installation_checks(book: Book, proposal: Proposal) -> None:
    book.section("Installation checks", landscape=True, new_sheet=True)
    counts = [(title, [c for c in proposal.checks if c.result == result]) for result, title in _RESULTS]
    book.paragraph(", ".join(f"{title.lower()} {len(checks)}" for title, checks in counts) + ".")
    rows: list[tuple[str, ...] | Group] = []
    for title, checks in counts:
        if checks:
            rows.append(Group(f"{title}: {len(checks)}"))
            rows.extend(_row(book, check) for check in checks)
    set_table(book, Table(_COLUMNS, rows))


def _row(book: Book, check: Check) -> tuple[str, ...]:
    display = book.options.display_units
    remedy = "\n".join(check.remedies)
    if check.needs:
        remedy = f"{remedy}\nneeds {check.needs}" if remedy else f"needs {check.needs}"
    return (
        state(check.result),
        check.check,
        check.subject,
        measure(check.measured, display),
        measure(check.limit, display),
        check.text,
        remedy or NONE,
        numbered_list(check.trace),
    )
