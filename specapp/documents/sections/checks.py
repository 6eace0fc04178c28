"""The installation checks: what fails first, then what passes with a reservation, then the rest."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.marks import state
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, set_table, trimmed
from specapp.documents.wording import NONE, measure, numbered_list, on_two_lines, prose
from specapp.domain.proposal import Check, Proposal

_RESULTS = (
    ("fail", "Fails", "fail"),
    ("caution", "Cautions", "with a caution"),
    ("not_evaluated", "Not evaluated", "not evaluated"),
    ("pass", "Passes", "pass"),
)
_COLUMNS = (
    Column("Result", repeat=True),
    Column("Check", repeat=True, bold=True, widest=130),
    Column("Subject", widest=110),
    Column("Found", "right"),
    Column("Limit", "right"),
    Column("Finding", widest=330),
    Column("Remedy, or what is missing", widest=220),
    Column("Reason", widest=50),
)


def installation_checks(book: Book, proposal: Proposal) -> None:
    book.section("Installation checks", landscape=True, with_next=140)
    found = [(result, [c for c in proposal.checks if c.result == result[0]]) for result in _RESULTS]
    book.paragraph(", ".join(f"{len(checks)} {word}" for (_, _, word), checks in found) + ".")
    for (_, title, _), checks in found:
        if checks:
            book.heading(title, with_next=70)
            about = [
                About(
                    f"check/{check.check}/{check.subject}",
                    book.options.changed("checks", check.subject, check.check),
                )
                for check in checks
            ]
            set_table(book, trimmed(_COLUMNS, [_row(book, check) for check in checks], about=about))


def _row(book: Book, check: Check) -> tuple[str, ...]:
    display = book.options.display_units
    remedy = prose("\n".join(check.remedies))
    if check.needs:
        remedy = f"{remedy}\nneeds {check.needs}" if remedy else f"needs {check.needs}"
    return (
        state(check.result),
        check.check,
        check.subject,
        on_two_lines(measure(check.measured, display)),
        on_two_lines(measure(check.limit, display)),
        prose(check.text),
        remedy or NONE,
        numbered_list(check.trace),
    )
