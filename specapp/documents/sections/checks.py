"""The installation checks: what fails first, then what passes with a reservation, then the rest.

Checks that say the same of several subjects stand in one row, which names each of them.
"""

from __future__ import annotations

from collections.abc import Sequence

from specapp.documents.book import Book
from specapp.documents.marks import state
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, set_table, trimmed
from specapp.documents.wording import NONE, measure, numbered_list, on_two_lines, prose
from specapp.domain.proposal import Check, Proposal
from specapp.rulebook.loop_types import LoopType, loop_types

Kinds = Sequence[tuple[str, set[str]]]

_RESULTS = (
    ("fail", "Fails", "fail"),
    ("caution", "Cautions", "with a caution"),
    ("not_evaluated", "Not evaluated", "not evaluated"),
    ("pass", "Passes", "pass"),
)
_COLUMNS = (
    Column("Result", repeat=True),
    Column("Check", repeat=True, bold=True, widest=130),
    Column("Subject", widest=130),
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
    kinds = (
        ("points", {point.key for point in proposal.points}),
        ("voting groups", {point.voting_group for point in proposal.points}),
        ("shafts", {shaft.name for shaft in proposal.shafts}),
    )
    loops = loop_types(proposal.points)
    for (_, title, _), checks in found:
        if checks:
            book.heading(title, with_next=70)
            groups = _alike(checks)
            about = [_about(book, group) for group in groups]
            rows = [_row(book, group, kinds, loops) for group in groups]
            set_table(book, trimmed(_COLUMNS, rows, about=about))


def _alike(checks: Sequence[Check]) -> list[list[Check]]:
    """Return the checks, those together that differ in nothing but whom they are about."""
    groups: dict[tuple[object, ...], list[Check]] = {}
    for check in checks:
        same = (
            check.check,
            _of_each(check),
            check.measured,
            check.limit,
            tuple(check.remedies),
            check.needs,
        )
        groups.setdefault(same, []).append(check)
    return list(groups.values())


def _of_each(check: Check) -> str:
    """Return the finding without the subject it begins with."""
    named = f"{check.subject} "
    return f"Each {check.text.removeprefix(named)}" if check.text.startswith(named) else check.text


def _about(book: Book, group: Sequence[Check]) -> About:
    first, *others = (f"check/{check.check}/{check.subject}" for check in group)
    changed = any(book.options.changed("checks", check.subject, check.check) for check in group)
    return About(first, changed, tuple(others))


def _row(book: Book, group: Sequence[Check], kinds: Kinds, loops: Sequence[LoopType]) -> tuple[str, ...]:
    display = book.options.display_units
    check = group[0]
    remedy = prose("\n".join(check.remedies))
    if check.needs:
        remedy = f"{remedy}\nneeds {check.needs}" if remedy else f"needs {check.needs}"
    return (
        state(check.result),
        check.check,
        _subjects(group, kinds, loops),
        on_two_lines(measure(check.measured, display)),
        on_two_lines(measure(check.limit, display)),
        prose(check.text if len(group) == 1 else _of_each(check)),
        remedy or NONE,
        numbered_list(dict.fromkeys(index for each in group for index in each.trace)),
    )


def _subjects(group: Sequence[Check], kinds: Kinds, loops: Sequence[LoopType]) -> str:
    """Return whom a row is about; a check of a kind of loop, kept under one of its positions, names all."""
    subjects = [check.subject for check in group]
    if len(subjects) > 1:
        kind = next((name for name, known in kinds if known.issuperset(subjects)), "subjects")
        return f"{len(subjects)} {kind}: {', '.join(subjects)}"
    for loop in loops:
        if group[0].text.startswith(f"{loop.title} ({len(loop.points)} loop"):
            positions = dict.fromkeys(point.voting_group or point.key for point in loop.points)
            return ", ".join(positions)
    return subjects[0]
