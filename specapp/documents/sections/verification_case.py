"""One case of the verification report: parts, calculation, level, votes, tests, guards and ways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD
from specapp.documents.marks import BAR, GOVERNS, HALF
from specapp.documents.row_marks import About, paragraph_about
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.trip_words import (
    STANDING,
    VOTES_NOTE,
    credit_text,
    decision_text,
    guard_text,
    interval_text,
    level_rows,
    sentence,
    small,
    truth_answer,
    truth_findings,
)
from specapp.documents.wording import grouped_keys, number, words
from specapp.rulebook.reliability_working import stages_of, tests_of, working

Function = Mapping[str, Any]


def case_title(index: int, functions: Sequence[Function]) -> str:
    """Return what a case is called: the kind of trip, its vote and its number."""
    title = str(functions[0]["title"]).partition(",")[0]
    return f"{title}, {words(functions[0]['voting'])}, case {index}"


def case(book: Book, index: int, functions: Sequence[Function]) -> None:
    """Set the section of the functions that share one calculation."""
    function = functions[0]
    book.section(case_title(index, functions), landscape=True, with_next=150)
    keys = [str(each["key"]) for each in functions]
    paragraph_about(book, f"Functions: {grouped_keys(keys)}.", keys)
    book.paragraph(sentence(str(function["statement"])), font=BOLD)
    if function["decision"]:
        book.paragraph(decision_text(function["decision"]))
    if function["not_copies_because"]:
        book.paragraph(credit_text(function))
    if not function["stages"]:
        return
    _parts(book, function)
    _working(book, function)
    _levels(book, function)
    _comparison(book, function)
    _truth_table(book, function)
    _interval(book, function)
    _guards(book, function)
    _ways(book, functions)


def _parts(book: Book, function: Function) -> None:
    book.heading("Parts, failures an hour", with_next=80)
    if function["governs"]:
        book.paragraph(str(function["governs"]))
    rows = [
        (
            str(part["title"]),
            number(part["count"]),
            str(part["component_type"]),
            small(part["dangerous_undetected_per_h"]),
            small(part["dangerous_detected_per_h"]),
            small(part["safe_detected_per_h"]),
            small(part["safe_undetected_per_h"]),
            f"{part['safe_failure_fraction']:.1%}",
            number(part["beta"]),
            number(part["beta_detected"]),
            small(part["pfd_avg"]),
            f"{part['share']:.0%}",
            STANDING.get(str(part["status"]), str(part["status"])),
            str(part["source"]),
        )
        for part in function["parts"]
    ]
    columns = (
        Column("Part", bold=True, repeat=True, widest=150),
        Column("Number", "right"),
        Column("Type"),
        Column("λDU", "right"),
        Column("λDD", "right"),
        Column("λSD", "right"),
        Column("λSU", "right"),
        Column("Safe failure fraction", "right"),
        Column("β", "right"),
        Column("βD", "right"),
        Column("PFDavg", "right"),
        Column("Share", "right"),
        Column("Data"),
        Column("Source of the data", widest=160),
    )
    set_table(book, trimmed(columns, rows, about=_about(function, rows)))


def _about(function: Function, rows: Sequence[tuple[str, ...]]) -> list[About]:
    """Return that every row of a table is about the function, the first of those that share its case."""
    return [About(str(function["key"]))] * len(rows)


def _working(book: Book, function: Function) -> None:
    book.heading("Calculation", with_next=90)
    tests = tests_of(function)
    rows: list[tuple[str, ...]] = []
    for stage in stages_of(function):
        lines = working(stage, tests)
        rows.append((stage.name, _set(lines.lines), _set(lines.spurious_lines)))
    total = " + ".join(small(stage["pfd_avg"]) for stage in function["stages"])
    spurious = " + ".join(f"{stage['spurious_trips_per_year']:.3g}" for stage in function["stages"])
    shown = small(function["pfd_avg"]) if function["pfd_avg"] is not None else "refused"
    rows.append(
        (
            f"{GOVERNS} function",
            f"{GOVERNS} {total} = {shown}",
            f"{GOVERNS} {spurious} = {function['spurious_trips_per_year']:.3g} a year",
        )
    )
    columns = (
        Column("Stage", bold=True, widest=110),
        Column("Probability of failure on demand", widest=430),
        Column("Spurious trips", widest=240),
    )
    set_table(book, Table(columns, rows, 6.4, _about(function, rows)))


def _set(lines: Sequence[str]) -> str:
    return "\n".join(lines).replace("E-", "E−")


def _levels(book: Book, function: Function) -> None:
    if function["levels"] is None:
        return
    book.heading("Level", with_next=60)
    rows = level_rows(function)
    columns = (Column("Level"), Column("Allows"), Column("Limited by"))
    set_table(book, Table(columns, rows, about=_about(function, rows)))


def _comparison(book: Book, function: Function) -> None:
    lines = function["voting_comparison"]
    if not lines:
        return
    book.heading("Votes compared: missed against false trips", with_next=90)
    book.paragraph(f"{GOVERNS} in force. {VOTES_NOTE}")
    rows = [
        (
            f"{GOVERNS} {words(line['voting'])}" if line["in_force"] else words(line["voting"]),
            number(line["probes"]),
            small(line["pfd_avg_of_copies"]),
            small(line["pfd_avg"]),
            small(line["spurious_trips_per_year"]),
            small(line["function_pfd_avg"]),
            small(line["function_spurious_trips_per_year"]),
        )
        for line in lines
    ]
    columns = (
        Column("Vote"),
        Column("Probes", "right"),
        Column("Missed: PFDavg of the sensors, were they copies", "right"),
        Column("Missed: PFDavg of the sensors, as counted", "right"),
        Column("False: trips a year, sensors", "right"),
        Column("Missed: PFDavg of the function", "right"),
        Column("False: trips a year, function", "right"),
    )
    set_table(book, Table(columns, rows, about=_about(function, rows)))


def _truth_table(book: Book, function: Function) -> None:
    table = function["truth_table"]
    if not table:
        return
    book.heading("Legs faulted or bypassed", with_next=80)
    rows = [
        (
            number(row["faulted"]),
            number(row["bypassed"]),
            number(row["remaining"]),
            truth_answer(row),
        )
        for row in table["rows"]
    ]
    columns = (
        Column("Faulted", "right"),
        Column("Bypassed", "right"),
        Column("In the vote", "right"),
        Column("The group"),
    )
    set_table(book, Table(columns, rows, about=_about(function, rows)))
    for text in truth_findings(table):
        book.paragraph(text, after=2)


def _interval(book: Book, function: Function) -> None:
    text = interval_text(function)
    if text:
        book.heading("Proof-test interval for the target", with_next=30)
        book.paragraph(text)


def _guards(book: Book, function: Function) -> None:
    book.heading("Guards", with_next=30)
    state = function["validity"]["state"]
    if state == "valid":
        book.paragraph(guard_text(function))
    else:
        shape = BAR if state == "refused" else HALF
        book.paragraph(f"{shape} {guard_text(function)}", font=BOLD)


def _ways(book: Book, functions: Sequence[Function]) -> None:
    book.heading("Walked from tip to final element", with_next=60)
    rows = [
        (
            str(function["key"]),
            ", ".join(function["findings"]["trips_alone"]),
            ", ".join(function["findings"]["shared"]),
            ", ".join(function["findings"]["common"]),
            ", ".join(function["findings"]["networks"]) or "none",
        )
        for function in functions
    ]
    columns = (
        Column("Function", bold=True),
        Column("Trips alone", widest=200),
        Column("Shared before the vote", widest=160),
        Column("After the vote", widest=260),
        Column("Network on the way"),
    )
    about = [About(str(function["key"])) for function in functions]
    set_table(book, Table(columns, rows, about=about))
