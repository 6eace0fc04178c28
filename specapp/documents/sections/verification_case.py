"""One case of the verification report: parts, calculation, level, votes, tests, guards and ways."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Final

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD
from specapp.documents.marks import BAR, FULL, GOVERNS, HALF
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.wording import NONE, grouped_keys, number, true_minus, words
from specapp.rulebook.reliability_working import interval_for_target, stages_of, tests_of, working

Function = Mapping[str, Any]

STANDING: Final = {"placeholder": f"{HALF} placeholder", "told": f"{FULL} told"}


def small(value: float | None) -> str:
    """Return a probability or a rate in powers of ten."""
    return NONE if value is None else true_minus(f"{value:.2E}")


def case_title(index: int, functions: Sequence[Function]) -> str:
    """Return what a case is called: the kind of trip, its vote and its number."""
    title = str(functions[0]["title"]).partition(",")[0]
    return f"{title}, {words(functions[0]['voting'])}, case {index}"


def case(book: Book, index: int, functions: Sequence[Function]) -> None:
    """Set the section of the functions that share one calculation."""
    function = functions[0]
    book.section(case_title(index, functions), landscape=True, with_next=150)
    book.paragraph(f"Functions: {grouped_keys([str(each['key']) for each in functions])}.")
    book.paragraph(_sentence(str(function["statement"])), font=BOLD)
    if function["decision"]:
        book.paragraph(f"Vote: {function['decision']['text']}.")
    if function["not_copies_because"]:
        text = (
            f"No redundancy is credited: {function['not_copies_because']}. Fault tolerance 0; a demand may "
            "show in one leg only, so the vote is counted as "
            f"{words(function['credited_voting'])}."
        )
        book.paragraph(text)
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


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}." if text else ""


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
    set_table(book, trimmed(columns, rows))


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
    set_table(book, Table(columns, rows, 6.4))


def _set(lines: Sequence[str]) -> str:
    return "\n".join(lines).replace("E-", "E−")


def _levels(book: Book, function: Function) -> None:
    levels = function["levels"]
    if levels is None:
        return
    book.heading("Level", with_next=60)
    rows = [
        (
            "by probability",
            _plain_level(levels["by_pfd"]),
            "below the band of level 4: 4 at most" if levels["below_level_4_band"] else "",
        ),
        ("by route 1H", _plain_level(levels["by_route_1h"]), words(levels["route_1h_limited_by"] or None)),
        (
            "by fault tolerance, IEC 61511-1",
            _plain_level(levels["by_fault_tolerance"]),
            words(levels["fault_tolerance_limited_by"] or None),
        ),
    ]
    if levels["control_system_limits"]:
        rows.append(("by where the trip acts", "no SIL", "basic control system"))
    rows.append((f"{GOVERNS} claimed", _plain_level(function["level_claimed"]), "the lowest of these"))
    set_table(book, Table((Column("Level"), Column("Allows"), Column("Limited by")), rows))


def _plain_level(level: int) -> str:
    return f"SIL {level}" if level else "no SIL"


def _comparison(book: Book, function: Function) -> None:
    lines = function["voting_comparison"]
    if not lines:
        return
    book.heading("Votes compared: missed against false trips", with_next=90)
    book.paragraph(
        f"{GOVERNS} in force. A vote in which any leg trips misses less and trips more for nothing; one in "
        "which legs must agree, the other way round. Which costs more is the purchaser's decision. Trip with "
        "the other leg's alarm fails as 2oo2 does: a failed leg shows no alarm. 2oo3 needs a third probe."
    )
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
    set_table(book, Table(columns, rows))


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
            _answer(row),
        )
        for row in table["rows"]
    ]
    columns = (
        Column("Faulted", "right"),
        Column("Bypassed", "right"),
        Column("In the vote", "right"),
        Column("The group"),
    )
    set_table(book, Table(columns, rows))
    for text in _truth_findings(table):
        book.paragraph(text, after=2)


def _answer(row: Mapping[str, Any]) -> str:
    if row["needed"] is None:
        return f"{BAR} cannot trip"
    if row["needed"] == 0:
        return "trips at once"
    text = f"trips when {row['needed']} of {row['remaining']} ask"
    return f"{text} and another is at alarm" if row["with_alarm"] else text


def _truth_findings(table: Mapping[str, Any]) -> list[str]:
    found = []
    if table["lost_by_faults"] is not None:
        found.append(f"{table['lost_by_faults']} faulted: the trip is lost, alarmed only.")
    if table["lost_by_a_fault_under_bypass"]:
        found.append("One leg bypassed and another faulted: the trip is lost.")
    if table["trips_by_bypass_alone_if_a_bypass_counts_as_a_fault"]:
        found.append(
            f"{table['faulted_legs_that_trip']} faulted legs trip. A system that counts a bypassed leg as "
            "faulted trips by bypass alone: the supplier confirms that it does not."
        )
    return found


def _interval(book: Book, function: Function) -> None:
    search = interval_for_target(function)
    if search is None:
        return
    book.heading("Proof-test interval for the target", with_next=30)
    low, high = search.searched_h
    limit = small(search.limit_pfd)
    if search.interval_h is None:
        text = f"No interval from {number(low)} to {number(high)} h keeps the function below {limit}."
    elif search.capped:
        text = (
            f"Every interval up to {number(high)} h, the longest searched, keeps the function below {limit}."
        )
    else:
        longest = number(float(int(search.interval_h)))
        text = (
            f"The longest interval below {limit} is {longest} h, at most 2 h too short, found in "
            f"{search.steps} steps between {number(low)} and {number(high)} h."
        )
    if function["basis"] == "placeholder":
        text += " An illustration, on placeholder failure data."
    book.paragraph(text)


def _guards(book: Book, function: Function) -> None:
    book.heading("Guards", with_next=30)
    state = function["validity"]
    if state["state"] == "valid":
        book.paragraph("Failure rate times test interval stays below 0.1 in every stage: the formulas hold.")
    else:
        shape = BAR if state["state"] == "refused" else HALF
        book.paragraph(f"{shape} {words(state['state'])}: {state['reason']}.", font=BOLD)


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
    set_table(book, Table(columns, rows))
