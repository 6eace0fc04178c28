"""Sections on what is measured: points, setpoints, checks, frequencies."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

from specapp.documents.wording import NONE, plain, words
from specapp.domain.proposal import Check, FrequencyLine, Proposal
from specapp.projects.presenting.figures import measured
from specapp.projects.presenting.points import point_table, setpoint_table
from specapp.projects.presenting.reader import Reader, state, why
from specapp.projects.presenting.section import Section
from specapp.projects.presenting.tables import Block, Column, Figure, Folded, Lines, Row, Table, joined, small
from specapp.rulebook.check_names import check_words

_TOLD_APART = {"fail": 0, "caution": 1, "not_evaluated": 2, "pass": 3}
# Shown at once; multiples and spectra of every shaft are folded.
_FIRST_KINDS = frozenset({"rotation", "gear_mesh"})

_CHECK_COLUMNS = (
    Column("Subject", "subjects"),
    Column("Check"),
    Column("Result"),
    Column("Found", "number"),
    Column("Limit", "number"),
    Column("Says", "says"),
)
_FREQUENCY_COLUMNS = (
    Column("Shaft"),
    Column("Kind"),
    Column("Order", "number"),
    Column("Frequency", "number"),
    Column("Note"),
)


def points(proposal: Proposal, reader: Reader) -> Section:
    drawing = Figure(
        "Machine drawing",
        reader.drawing("layout"),
        "The machine seen from the driver and its shafts in the order of the power flow, with a numbered"
        " balloon at every measuring position. The table below lists the same points.",
    )
    blocks: list[Block] = [] if reader.only_needs else [drawing, point_table(proposal, reader)]
    struck = [item for item in proposal.overrides if item.field == "struck" and item.state != "item gone"]
    if blocks and struck:
        lines = [f"{item.item}, struck by {item.author}, {item.at[:10]}: {item.reason}" for item in struck]
        blocks.append(Folded("Struck here, proposed by the rules", len(lines), [Lines(lines)], is_open=True))
    return Section("points", "Points", len(proposal.points), 0, "", blocks)


def setpoints(proposal: Proposal, reader: Reader) -> Section:
    table, count, needs = setpoint_table(proposal, reader)
    cautions = Folded("Cautions", len(proposal.cautions), [Lines(proposal.cautions, is_numbered=True)])
    return Section("setpoints", "Setpoints", count, needs, "held or placeholder", [cautions, table])


def checks(proposal: Proposal, reader: Reader) -> Section:
    ordered = sorted(proposal.checks, key=lambda check: _TOLD_APART[check.result])
    waiting = [check for check in ordered if check.result != "pass"]
    passed = [check for check in ordered if check.result == "pass"]
    counts = Counter(words(check.result) for check in ordered)
    blocks: list[Block] = [
        Lines([", ".join(f"{count} {word}" for word, count in counts.items())], style="soft")
    ]
    if waiting:
        blocks.append(_check_table("Checks that did not pass", waiting, reader))
    if passed and not reader.only_needs:
        blocks.append(Folded("Passed", len(passed), [_check_table("Checks passed", passed, reader)]))
    return Section("checks", "Installation checks", len(ordered), len(waiting), "not passed", blocks)


def _check_table(label: str, found: Sequence[Check], reader: Reader) -> Table:
    """Return checks that say the same in one row, with all their subjects."""
    alike: dict[Any, list[Check]] = {}
    for check in found:
        said = (check.check, check.result, check.text, check.measured, check.limit, check.needs)
        alike.setdefault(said, []).append(check)
    return Table(
        label, _CHECK_COLUMNS, [_check_row(same, reader) for same in alike.values()], is_narrow=False
    )


def _check_row(same: Sequence[Check], reader: Reader) -> Row:
    check = same[0]
    says: list[str] = [check.text]
    if check.needs:
        says.append(joined(["Needs", reader.fact(check.needs)], " "))
    if check.result != "pass":
        says += [small(f"Remedy: {remedy}") for remedy in check.remedies]
    found = measured(check.measured, reader.display)
    named = check_words(check.check)
    return Row(
        (
            joined([item.subject for item in same], " · "),
            joined([why(named, check.trace) if found == NONE else named, small(check.check)]),
            state(check.result),
            found if found == NONE else why(found, check.trace),
            measured(check.limit, reader.display),
            joined(says),
        ),
        "needs" if check.result == "fail" else "",
    )


def frequencies(proposal: Proposal, reader: Reader) -> Section:
    first = [line for line in proposal.frequencies if line.kind in _FIRST_KINDS]
    more = [line for line in proposal.frequencies if line.kind not in _FIRST_KINDS]
    blocks: list[Block] = [_frequency_table("Rotation and gear mesh", first, reader)]
    if more:
        table = _frequency_table("Other frequencies", more, reader)
        blocks.append(Folded("Blades, bearings, whirl and tooth patterns", len(more), [table]))
    return Section("frequencies", "Frequencies", len(proposal.frequencies), 0, "", blocks)


def _frequency_table(label: str, lines: Sequence[FrequencyLine], reader: Reader) -> Table:
    rows = [
        Row(
            (
                line.shaft,
                words(line.kind),
                plain(line.order),
                why(measured(line.frequency, reader.display), line.trace),
                line.text,
            )
        )
        for line in lines
    ]
    return Table(label, _FREQUENCY_COLUMNS, rows)
