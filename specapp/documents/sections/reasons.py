"""Why: the criteria used, the rules and how each ended, the reasons they left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from specapp.documents.book import Book
from specapp.documents.marks import state, status_mark
from specapp.documents.tables import Column, Group, Table, set_table, trimmed
from specapp.documents.wording import NONE, OVERRIDDEN, plain, prose, told, with_criterion_unit, words
from specapp.domain.proposal import Proposal, Reason

_SMALL = 6.2


def criteria_used(book: Book, proposal: Proposal) -> None:
    """Set every criterion that a rule read, with its source and status; overrides with their reasons."""
    book.section("Criteria used", landscape=True, with_next=110)
    statuses = [str(criterion.get("status", "")) for criterion in proposal.criteria]
    counted = ", ".join(f"{words(s)} {statuses.count(s)}" for s in dict.fromkeys(statuses))
    book.paragraph(f"{len(statuses)} criteria: {counted}. A criterion may be overridden with a reason.")
    rows = [_criterion(criterion) for criterion in proposal.criteria]
    columns = (
        Column("Criterion", bold=True, widest=180),
        Column("Meaning", widest=220),
        Column("Value", "right"),
        Column("Status", widest=90),
        Column("Source and edition", widest=220),
        Column("Note", widest=220),
    )
    set_table(book, Table(columns, rows, _SMALL))


def _criterion(criterion: Mapping[str, Any]) -> tuple[str, ...]:
    override = criterion.get("override")
    note = str(criterion.get("note") or "")
    shown = with_criterion_unit(criterion.get("value"), str(criterion.get("unit") or ""))
    if override:
        shown += OVERRIDDEN
        note = f"{OVERRIDDEN} {plain(override)}. {note}".strip()
    source = ", ".join(str(criterion[key]) for key in ("source", "edition") if criterion.get(key))
    status = str(criterion.get("status") or "")
    return (
        str(criterion.get("key", "")),
        str(criterion.get("title") or ""),
        shown,
        f"{status}{status_mark(status)}",
        source or NONE,
        prose(note),
    )


def rules_applied(book: Book, proposal: Proposal) -> None:
    """Set the conflicts between rules, then how each rule ended."""
    book.section("Rules", landscape=True, with_next=110)
    if proposal.conflicts:
        book.heading("Conflicts")
        rows = [
            (
                conflict.item,
                conflict.field,
                ", ".join(conflict.rules),
                " against ".join(map(plain, conflict.values)),
            )
            for conflict in proposal.conflicts
        ]
        columns = (Column("Item", bold=True), Column("Field"), Column("Rules"), Column("Values", widest=300))
        set_table(book, Table(columns, rows, _SMALL))
    book.paragraph(
        "Every rule of the rulebook and how it ended: applied, undecided for want of a fact, not applicable."
    )
    order = {"undecided": 0, "applied": 1, "not_applicable": 2}
    outcomes = sorted(proposal.rules, key=lambda outcome: order.get(outcome.outcome, 3))
    columns = (
        Column("Rule", bold=True),
        Column("What it decides", widest=220),
        Column("Outcome"),
        Column("Needs", widest=160),
    )
    set_table(
        book,
        trimmed(columns, [(o.rule, o.title, state(o.outcome), ", ".join(o.needs)) for o in outcomes], _SMALL),
    )


def appendix(book: Book, proposal: Proposal) -> None:
    """Set the numbered reasons that the schedules refer to, then why each point is there."""
    book.section("Reasons", landscape=True, with_next=110)
    book.paragraph("The numbers are those of the columns “Reason” of the schedules.")
    columns = (
        Column("No.", "right"),
        Column("Rule", bold=True),
        Column("Reason", widest=330),
        Column("Facts read", widest=220),
        Column("Criteria read", widest=170),
        Column("Source", widest=140),
    )
    rows: list[tuple[str, ...] | Group] = [
        (str(i + 1), *_reason(reason)) for i, reason in enumerate(proposal.trace)
    ]
    set_table(book, Table(columns, rows, _SMALL))


def _reason(reason: Reason) -> tuple[str, ...]:
    facts = "; ".join(f"{path} {told(path, value, None)}" for path, value in reason.reads.items())
    criteria = "; ".join(
        f"{c.key} {with_criterion_unit(c.value, c.unit)}{status_mark(c.status)}"
        f"{OVERRIDDEN if c.override else ''}"
        for c in reason.criteria
    )
    source = ", ".join(part for part in (reason.source, reason.edition) if part)
    return (
        reason.rule,
        prose(reason.text),
        facts,
        criteria,
        f"{source or reason.status}{status_mark(reason.status)}",
    )
