"""Verification of the trips: every function with its parts, formulas filled in, votes, tests and guards.

Functions of the same devices and vote share one calculation and stand in one section. The report prints from
the stored functions; what it shows beyond them is their own working, by `rulebook.reliability_working`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD
from specapp.documents.front import draw_cover, sheet_notes, title_block
from specapp.documents.marks import BAR, FULL, OPEN, status_mark
from specapp.documents.options import Options
from specapp.documents.row_marks import About
from specapp.documents.sections.verification_case import case
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.trip_words import LIMITS, STANDING, Function, small
from specapp.documents.wording import number, prose, words
from specapp.domain.proposal import Proposal

TITLE: Final = "Verification of trip functions"

_SAME: Final = ("quantity", "voting", "not_copies_because", "stages", "parts", "statement", "truth_table")
_SOURCES: Final = (
    ("Probabilities, proof-test coverage", "IEC 61508-6:2010, annex B.3.2.2 and B.3.2.5", "published"),
    ("Level by probability", "IEC 61508-1:2010, table 2", "published"),
    ("Level by architecture, route 1H", "IEC 61508-2:2010, 7.4.4.2, tables 2 and 3", "published"),
    ("Fault tolerance in the process sector", "IEC 61511-1:2016, table 6", "published"),
    ("Common-cause factor of a vote", "IEC 61508-6:2010, table D.5", "from memory"),
    ("Spurious trips", "ISA-TR84.00.02", "from memory"),
    ("Limits of the approximation", "61508 Association workshop, 2024", "published"),
    ("Basic control system: no level", "IEC 61511-1:2016", "from memory"),
)
_CAUTION: Final = (
    "A calculated trip is a proposal for the owner's practice of functional safety, no certificate."
)


def render(proposal: Proposal, options: Options) -> bytes:
    """Return the report as PDF, the same bytes for the same proposal and options."""
    block = title_block(proposal, options, TITLE)
    book = Book(
        options,
        block,
        (_CAUTION, *sheet_notes(proposal)[1:]),
        subject="Reliability of each protective function, from sensor through logic to final element",
        cover=True,
    )
    classes = _classes(proposal.safety_functions)
    _basis(book, proposal)
    _summary(book, classes)
    for index, functions in enumerate(classes, start=1):
        case(book, index, functions)
    _checks(book, proposal)
    return book.finish(lambda cover: draw_cover(cover, proposal, block))


def _classes(functions: Sequence[Function]) -> list[list[Function]]:
    """Return the functions with those of the same calculation together, in order of the first of each."""
    found: list[list[Function]] = []
    for function in functions:
        for known in found:
            if all(known[0].get(name) == function.get(name) for name in _SAME):
                known.append(function)
                break
        else:
            found.append([function])
    return found


def _level(level: int | None) -> str:
    if level is None:
        return f"{OPEN} not claimed"
    return f"{FULL} SIL {level}" if level else f"{BAR} no SIL"


# Basis and summary


def _basis(book: Book, proposal: Proposal) -> None:
    book.section("Basis", landscape=False)
    functions = proposal.safety_functions
    if not functions:
        book.paragraph("This machine has no trips: there is nothing to verify.")
    else:
        book.paragraph(_tests(functions[0]))
        _standing(book, functions)
        justification = (proposal.machine.get("safety") or {}).get("xy_redundancy_justification")
        if justification:
            book.paragraph(f"X and Y count as two measurements of one thing, as recorded: {justification}")
    for text in LIMITS:
        book.paragraph(text)
    book.heading("Cautions")
    for caution in proposal.cautions:
        book.paragraph(caution, size=7.4, after=2)
    book.heading("Sources")
    rows = [(what, source, f"{status}{status_mark(status)}") for what, source, status in _SOURCES]
    set_table(book, Table((Column("What", bold=True), Column("Source"), Column("Status")), rows))


def _tests(function: Function) -> str:
    times = {
        name: number(function[f"{name}_h"])
        for name in ("proof_test_interval", "full_test_interval", "repair_time", "restoration_time")
    }
    rest = f", the rest by a full test every {times['full_test_interval']} h (T2)"
    if function["full_test_interval_h"] is None:
        rest = ""
    beta = "multiplied by the factor of the vote" if function["beta_by_vote"] else "taken as told"
    covered = number(function["proof_test_coverage"])
    return (
        f"{function['standard']}. Proof test every {times['proof_test_interval']} h (T1), which finds the "
        f"share {covered} of the hidden failures (PTC){rest}. Where a device tells no time of its own: mean "
        f"repair time {times['repair_time']} h (MRT), mean time to restoration {times['restoration_time']} h "
        f"(MTTR). Common-cause shares are {beta}. Stages in series add up; within a leg the rates of its "
        "devices add up."
    )


def _standing(book: Book, functions: Sequence[Function]) -> None:
    illustrated = sum(function["level_claimed"] is None for function in functions)
    if illustrated:
        text = (
            f"{illustrated} of {len(functions)} functions claim nothing: their numbers illustrate how the "
            "calculation goes and what weighs most; they are no result."
        )
        book.paragraph(text, font=BOLD)
    if functions[0]["target"] is None:
        book.paragraph("No target is told: there is no verdict, and no interval is solved for.", font=BOLD)


def _summary(book: Book, classes: Sequence[Sequence[Function]]) -> None:
    if not classes:
        return
    book.section("Summary", landscape=True, with_next=120)
    rows = [
        (
            str(index),
            ", ".join(str(function["key"]) for function in functions),
            words(functions[0]["voting"]),
            words(functions[0]["credited_voting"]),
            small(functions[0]["pfd_avg"]),
            small(functions[0]["limit_pfd"]),
            small(functions[0]["spurious_trips_per_year"]),
            STANDING.get(str(functions[0]["basis"]), str(functions[0]["basis"])),
            _level(functions[0]["level_claimed"]),
            _met(functions[0]),
            str(functions[0]["governs"]),
        )
        for index, functions in enumerate(classes, start=1)
    ]
    columns = (
        Column("Case", "right"),
        Column("Functions", bold=True, widest=190),
        Column("Vote"),
        Column("Counted as"),
        Column("PFDavg", "right"),
        Column("Limit of the target", "right"),
        Column("Spurious trips a year", "right"),
        Column("Failure data"),
        Column("Claim"),
        Column("Target"),
        Column("What governs: shares of the probability", widest=260),
    )
    about = [
        About(
            str(functions[0]["key"]),
            any(book.options.changed("safety_functions", str(each["key"])) for each in functions),
        )
        for functions in classes
    ]
    set_table(book, trimmed(columns, rows, about=about))


def _met(function: Function) -> str:
    if function["meets_target"] is None:
        return ""
    return f"{FULL} met" if function["meets_target"] else f"{BAR} missed"


# Checks


def _checks(book: Book, proposal: Proposal) -> None:
    checks = [check for check in proposal.checks if check.check.startswith("safety.")]
    rows = [
        (check.check, check.subject, words(check.result), prose(check.text), " ".join(check.remedies))
        for check in checks
    ]
    points = [point for point in proposal.open_points if point.key.startswith("safety/")]
    waiting = [(point.key, point.needs, prose(point.text), point.ask) for point in points]
    if not rows and not waiting:
        return
    book.section("Checks and open points", landscape=True, with_next=100)
    columns = (
        Column("Check", bold=True),
        Column("Subject"),
        Column("Result"),
        Column("Finding", widest=380),
        Column("Remedy", widest=180),
    )
    about = [
        About(
            f"check/{check.check}/{check.subject}",
            book.options.changed("checks", check.subject, check.check),
        )
        for check in checks
    ]
    set_table(book, Table(columns, rows, about=about))
    if waiting:
        book.heading("Open points")
        names = (Column("Open point", bold=True), Column("Needs"), Column("Text", widest=420), Column("Ask"))
        asked = [
            About(f"open/{point.key}", book.options.changed("open_points", point.key)) for point in points
        ]
        set_table(book, Table(names, waiting, about=asked))
