"""Sections on how far a proposal stands: assumptions, open points, reconciliation, what it rests on."""

from collections.abc import Sequence
from typing import Any

from specapp.documents.marks import STATUS_LEGEND
from specapp.documents.wording import plain, words
from specapp.domain.proposal import Assumption, Proposal
from specapp.projects.presenting.reader import Reader, state, status_mark, why
from specapp.projects.presenting.section import Section
from specapp.projects.presenting.tables import (
    Block,
    Column,
    Folded,
    GroupRow,
    Lines,
    Row,
    Table,
    joined,
    small,
)

_FIRST_ASSUMPTIONS = 3


def assumptions(proposal: Proposal, reader: Reader) -> Section:
    lines = proposal.assumptions
    first, more = lines[:_FIRST_ASSUMPTIONS], lines[_FIRST_ASSUMPTIONS:]
    blocks: list[Block] = [_assumption_table("The assumptions that matter most", first, reader)]
    if more:
        blocks.append(Folded("The others", len(more), [_assumption_table("Other assumptions", more, reader)]))
    return Section("assumptions", "Assumptions", len(lines), len(lines), "to be confirmed", blocks)


def _assumption_table(label: str, lines: Sequence[Assumption], reader: Reader) -> Table:
    columns = (
        Column("Fact"),
        Column("Taken as"),
        Column("Because", "says"),
        Column("Another value would change", "says"),
    )
    rows = [
        Row(
            (
                reader.fact(line.field),
                why(plain(line.value), line.trace),
                line.because,
                "; ".join(line.changes),
            )
        )
        for line in lines
    ]
    return Table(label, columns, rows)


def open_points(proposal: Proposal, reader: Reader) -> Section:
    by_whom: dict[str, list[Row]] = {}
    for point in proposal.open_points:
        row = Row((reader.fact(point.needs), why(point.text, point.trace)))
        by_whom.setdefault(words(point.ask), []).append(row)
    rows: list[Row | GroupRow] = []
    for whom, own in by_whom.items():
        rows += [GroupRow(f"Ask the {whom}", str(len(own))), *own]
    count = len(proposal.open_points)
    table = Table("Open points", (Column("Needed"), Column("Open")), rows)
    return Section("open_points", "Open points", count, count, "open", [table])


def reconciliation(proposal: Proposal, reader: Reader) -> Section:
    lines = proposal.reconciliation
    broken = [line for line in lines if not line.holds]
    columns = (
        Column("Statement"),
        Column("One count", "number"),
        Column("The other", "number"),
        Column("Result"),
    )
    rows = [
        Row(
            (
                line.statement,
                _counted(line.left),
                _counted(line.right),
                state("holds" if line.holds else "broken"),
            ),
            "" if line.holds else "needs",
        )
        for line in (broken if reader.only_needs else lines)
    ]
    conflicts = [
        f"{item.item}, {words(item.field)}: {' and '.join(item.rules)} differ ({plain(item.values)})."
        for item in proposal.conflicts
    ]
    blocks: list[Block] = [Lines(conflicts, style="needs-you")] if conflicts else []
    blocks.append(Table("Reconciliation", columns, rows))
    needs = len(broken) + len(conflicts)
    return Section("reconciliation", "Reconciliation", len(lines), needs, "not holding", blocks)


def _counted(value: Any) -> str:
    return f"{len(value)} listed" if isinstance(value, list | tuple) else plain(value)


def basis(proposal: Proposal, reader: Reader) -> Section:
    governing = [
        joined(
            [
                f"{item.standard}{f' part {item.part}' if item.part else ''}, {item.edition}",
                status_mark(item.status),
                f": {words(item.role)}. ",
                small(item.note),
            ],
            "",
        )
        for item in proposal.governing
    ]
    columns = (
        Column("Criterion"),
        Column("Value", "number"),
        Column("Standing", "nowrap"),
        Column("Source", "says"),
    )
    rows = [
        Row(
            (
                str(item["key"]),
                joined(
                    [
                        f"{plain(item['value'])} {_unit(item)}".strip(),
                        small("set here" if item["override"] else ""),
                    ]
                ),
                str(item["status"]),
                ", ".join(str(item[part]) for part in ("source", "edition") if item.get(part)),
            )
        )
        for item in proposal.criteria
    ]
    version = f"Rulebook {proposal.rulebook_version}, criteria {proposal.criteria_digest[:23]}."
    blocks: list[Block] = [
        Lines(governing),
        Folded("Criteria used", len(rows), [Table("Criteria used", columns, rows)]),
        Lines([f"{STATUS_LEGEND}. {version}"], style="soft"),
    ]
    return Section("basis", "Governing documents and criteria", len(governing), 0, "", blocks)


def _unit(item: Any) -> str:
    unit = str(item["unit"])
    return "" if unit == "1" else unit
