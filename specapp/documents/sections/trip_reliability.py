"""How far each trip can be relied on: functions, votes, failure data, findings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from specapp.documents.book import Book
from specapp.documents.marks import FULL, GOVERNS, HALF, OPEN
from specapp.documents.tables import Column, Group, Table, set_table, trimmed
from specapp.documents.wording import NONE, grouped_keys, number, numbered_list, prose, true_minus, words
from specapp.domain.proposal import Proposal

Function = Mapping[str, Any]

_BASIS = {"placeholder": f"{HALF} placeholder", "told": f"{FULL} told"}


def safety_functions(book: Book, proposal: Proposal) -> None:
    """Set the trips with their numbers; a proposal without trips has no such section."""
    functions = proposal.safety_functions
    if not functions:
        return
    book.section("Trip reliability", landscape=True, with_next=150)
    book.paragraph(_tests(functions[0]))
    _functions(book, functions)
    _comparisons(book, functions)
    _truth_tables(book, functions)
    _failure_data(book, functions)
    _findings(book, functions)


def _tests(function: Function) -> str:
    """Return how all functions are calculated and tested, in one sentence."""
    intervals = (
        ("proof test every", "proof_test_interval_h", "h"),
        ("that finds a share of", "proof_test_coverage", "of the hidden failures"),
        ("full test every", "full_test_interval_h", "h"),
        ("repair in", "repair_time_h", "h"),
        ("restoration in", "restoration_time_h", "h"),
    )
    told = [
        f"{before} {number(function[name])} {after}"
        for before, name, after in intervals
        if function.get(name) is not None
    ]
    return f"{function.get('standard') or 'Low demand'}: {', '.join(told) or 'no test told'}."


def _small(value: float | None) -> str:
    """Return a probability or rate in powers of ten."""
    if value is None:
        return NONE
    return true_minus(f"{value:.2E}") if value else "0"


def _functions(book: Book, functions: Sequence[Function]) -> None:
    notes: dict[str, int] = {}
    rows = []
    for function in functions:
        governs = function.get("governs")
        note = str(function.get("statement") or "") + (f". Shares: {governs}" if governs else "")
        claimed = function.get("level_claimed")
        target = function.get("target")
        rows.append(
            (
                str(function.get("title") or function.get("key", "")),
                grouped_keys([str(key) for key in function.get("points") or ()]),
                words(function.get("voting")),
                words(function.get("credited_voting")),
                _small(function.get("pfd_avg")),
                _small(function.get("limit_pfd")),
                _small(function.get("spurious_trips_per_year")),
                "" if target is None else f"SIL {target}",
                f"{OPEN} not claimed" if claimed is None else f"{FULL} {_level(claimed)}",
                _BASIS.get(str(function.get("basis")), words(function.get("basis"))),
                str(notes.setdefault(note, len(notes) + 1)) if note else "",
                numbered_list(function.get("trace") or ()),
            )
        )
    columns = (
        Column("Function", repeat=True, bold=True, widest=170),
        Column("Points", widest=150),
        Column("Vote"),
        Column("Credited"),
        Column("PFDavg", "right"),
        Column("Limit of target", "right"),
        Column("Spurious trips a year", "right"),
        Column("Target"),
        Column("Claim"),
        Column("Failure data"),
        Column("Note", "right"),
        Column("Reason", "right", widest=40),
    )
    set_table(book, trimmed(columns, rows))
    for note, index in notes.items():
        book.paragraph(f"Note {index}.  {note}", size=6.8, after=1)
    book.space(6)


def _level(level: int) -> str:
    return f"SIL {level}" if level else "no SIL"


def _distinct(functions: Iterable[Function], name: str) -> list[tuple[list[str], Any]]:
    """Return each different content of a field with the keys of the functions that have it."""
    found: list[tuple[list[str], Any]] = []
    for function in functions:
        content = function.get(name)
        if not content:
            continue
        for keys, known in found:
            if known == content:
                keys.append(str(function.get("key", "")))
                break
        else:
            found.append(([str(function.get("key", ""))], content))
    return found


def _comparisons(book: Book, functions: Sequence[Function]) -> None:
    rows: list[tuple[str, ...] | Group] = []
    for keys, comparison in _distinct(functions, "voting_comparison"):
        rows.append(Group(grouped_keys(keys)))
        rows += [
            (
                f"{GOVERNS} {words(line.get('voting'))}"
                if line.get("in_force")
                else words(line.get("voting")),
                number(line.get("probes")),
                _small(line.get("pfd_avg_of_copies")),
                _small(line.get("pfd_avg")),
                _small(line.get("spurious_trips_per_year")),
                _small(line.get("function_pfd_avg")),
                _small(line.get("function_spurious_trips_per_year")),
            )
            for line in comparison
        ]
    if not rows:
        return
    book.heading("Votes of the radial pairs compared", with_next=80)
    book.paragraph(f"{GOVERNS} in force. X and Y are components of one motion, not copies of one reading.")
    columns = (
        Column("Vote"),
        Column("Probes", "right"),
        Column("PFDavg of the probes, were they copies", "right"),
        Column("PFDavg of the probes, as components", "right"),
        Column("Spurious trips a year", "right"),
        Column("PFDavg of the function", "right"),
        Column("Spurious trips a year of the function", "right"),
    )
    set_table(book, Table(columns, rows))


def _truth_tables(book: Book, functions: Sequence[Function]) -> None:
    rows = [
        (
            _vote(table),
            number(line.get("faulted")),
            number(line.get("bypassed")),
            number(line.get("remaining")),
            "no trip" if line.get("needed") is None else number(line.get("needed")),
            number(line.get("with_alarm")) if line.get("with_alarm") else "",
        )
        for _, table in _distinct(functions, "truth_table")
        for line in table.get("rows") or ()
    ]
    if not rows:
        return
    book.heading("Votes with legs faulted or bypassed", with_next=80)
    columns = (
        Column("Vote", bold=True),
        Column("Faulted", "right"),
        Column("Bypassed", "right"),
        Column("Remaining", "right"),
        Column("Needed to trip", "right"),
        Column("With an alarm of the other"),
    )
    set_table(book, trimmed(columns, rows))


def _vote(table: Mapping[str, Any]) -> str:
    vote = words(table.get("voting"))
    faults = table.get("faulted_legs_that_trip")
    return vote if faults is None else f"{vote}, {faults} faulted trip"


def _failure_data(book: Book, functions: Sequence[Function]) -> None:
    rows: dict[tuple[str, ...], None] = {}
    for function in functions:
        for part in function.get("parts") or ():
            row = (
                str(part.get("title") or part.get("device", "")),
                str(part.get("component_type") or ""),
                _small(part.get("dangerous_undetected_per_h")),
                _small(part.get("dangerous_detected_per_h")),
                _small(part.get("safe_undetected_per_h")),
                _small(part.get("safe_detected_per_h")),
                number(part.get("beta")),
                number(part.get("safe_failure_fraction")),
                _BASIS.get(str(part.get("status")), words(part.get("status"))),
                str(part.get("source") or ""),
            )
            rows[row] = None
    if not rows:
        return
    book.heading("Failure data, failures an hour", with_next=80)
    columns = (
        Column("Device", repeat=True, bold=True, widest=170),
        Column("Type"),
        Column("Dangerous undetected", "right"),
        Column("Dangerous detected", "right"),
        Column("Safe undetected", "right"),
        Column("Safe detected", "right"),
        Column("Common cause", "right"),
        Column("Safe failure fraction", "right"),
        Column("Standing"),
        Column("Source", widest=180),
    )
    set_table(book, trimmed(columns, list(rows)))


def _findings(book: Book, functions: Sequence[Function]) -> None:
    names = ("trips_alone", "shared", "common", "networks", "unreached")
    rows = []
    for keys, findings in _distinct(functions, "findings"):
        cells = [prose(", ".join(map(str, findings.get(name) or ()))) for name in names]
        if any(cells):
            rows.append((grouped_keys(keys), *cells))
    if not rows:
        return
    book.heading("Findings along the trip paths", with_next=80)
    columns = (
        Column("Function", repeat=True, bold=True, widest=150),
        Column("Trips by one sensor alone", widest=200),
        Column("Shared by legs of one vote", widest=150),
        Column("Common to all legs", widest=190),
        Column("Passes a network", widest=120),
        Column("Reaches no final element", widest=120),
    )
    set_table(book, trimmed(columns, rows))
