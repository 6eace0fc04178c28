"""Votes side by side, and what each does with legs faulted or bypassed."""

from collections.abc import Mapping
from typing import Any

from specapp.assurance.presenting.parts import Part, probability
from specapp.documents.marks import GOVERNS
from specapp.documents.trip_words import VOTES_NOTE, Function, decision_text, truth_answer, truth_findings
from specapp.documents.wording import grouped_keys, number, words
from specapp.domain.proposal import Proposal
from specapp.projects.presenting.tables import Block, Column, Folded, Lines, Row, Table
from specapp.rulebook.reliability import RADIAL_VOTES
from specapp.rulebook.truth_tables import table_document


def comparison_table(function: Function) -> Table:
    """Return the votes of a radial pair side by side: a column a vote."""
    lines = function["voting_comparison"]
    columns = [Column("Compared"), *(Column(_vote(line), "number") for line in lines)]
    rows = [
        ("Probes at the bearing", [number(line["probes"]) for line in lines]),
        ("Missed: PFDavg of the probes, as counted", [_p(function, line["pfd_avg"]) for line in lines]),
        ("Missed: were the probes copies", [_p(function, line["pfd_avg_of_copies"]) for line in lines]),
        ("Missed: PFDavg of the whole trip", [_p(function, line["function_pfd_avg"]) for line in lines]),
        (
            "False: trips a year by the probes",
            [_p(function, line["spurious_trips_per_year"]) for line in lines],
        ),
        (
            "False: trips a year of the whole trip",
            [_p(function, line["function_spurious_trips_per_year"]) for line in lines],
        ),
    ]
    return Table(
        f"Votes compared, {function['key']}",
        columns,
        [Row((title, *cells)) for title, cells in rows],
        caption=f"{GOVERNS} in force",
    )


def _vote(line: Mapping[str, Any]) -> str:
    name = words(line["voting"])
    return f"{GOVERNS} {name}" if line["in_force"] else name


def _p(function: Function, value: float | None) -> str:
    return probability(function, value)


def truth_table(table: Mapping[str, Any]) -> Table:
    """Return what a vote does with legs faulted or bypassed."""
    columns = (
        Column("Faulted", "number"),
        Column("Bypassed", "number"),
        Column("In the vote", "number"),
        Column("The group"),
    )
    rows = [
        Row(
            (number(row["faulted"]), number(row["bypassed"]), number(row["remaining"]), truth_answer(row)),
            "needs" if row["needed"] is None else "",
        )
        for row in table["rows"]
    ]
    return Table(f"{words(table['voting'])}: legs faulted or bypassed", columns, rows)


def voting_parts(proposal: Proposal) -> list[Part]:
    """Return the parts of the page on which the vote of the radial pairs is decided."""
    alike: list[tuple[Function, list[str]]] = []
    for function in proposal.safety_functions:
        if not function["voting_comparison"]:
            continue
        for known, keys in alike:
            if known["voting_comparison"] == function["voting_comparison"]:
                keys.append(str(function["key"]))
                break
        else:
            alike.append((function, [str(function["key"])]))
    if not alike:
        return [Part("votes", "Votes compared", [Lines(["No radial pair of this machine trips."])])]
    blocks: list[Block] = []
    for function, keys in alike:
        blocks += [
            Lines([f"{grouped_keys(keys)}. {decision_text(function['decision'])}"]),
            comparison_table(function),
        ]
    blocks.append(Lines([VOTES_NOTE]))
    truth: list[Block] = []
    for voting in RADIAL_VOTES:
        table = table_document(voting, None)
        findings = truth_findings(table)
        truth.append(
            Folded(
                words(voting),
                len(table["rows"]),
                [truth_table(table), *([Lines(findings)] if findings else [])],
            )
        )
    return [
        Part("votes", "Votes compared: missed against false trips", blocks),
        Part("truth", "Each vote with legs faulted or bypassed", truth),
    ]
