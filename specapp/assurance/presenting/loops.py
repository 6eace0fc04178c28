"""Loops: supply, cable, conductor, bandwidth, bands, shields; entity comparison of those in the area."""

from collections.abc import Sequence

from specapp.assurance.presenting.functions import checks_table
from specapp.assurance.presenting.parts import Part
from specapp.documents.loop_rows import (
    band_rows,
    budget_rows,
    cable_rows,
    comparison_rows,
    conductor_rows,
    turning_text,
)
from specapp.documents.wording import NONE, prose, words
from specapp.domain.proposal import Proposal
from specapp.projects.presenting.reader import Reader
from specapp.projects.presenting.tables import Block, Column, Folded, Lines, Row, Table
from specapp.rulebook.loop_budget import SupplyBudget
from specapp.rulebook.loop_review import LoopReview, loop_reviews

_SHIELDS = ("shield", "Shields", "earthed", "Intrinsically safe cables")
_LOOP_CHECKS = ("loop.", "cable.")
_IN_AREA = ("intrinsic_safety.entity", "area.marking")


def loop_parts(proposal: Proposal, reader: Reader) -> list[Part]:
    """Return the parts of the page of loops."""
    parts = [_loop(proposal, reader, review) for review in loop_reviews(proposal)]
    notes = [prose(note) for note in proposal.architecture.notes if any(word in note for word in _SHIELDS)]
    checks = [check for check in proposal.checks if check.check.startswith(_LOOP_CHECKS)]
    if notes:
        parts.append(Part("shields", "Shields and earths", [Lines(notes)]))
    if checks:
        parts.append(Part("checks", "What the checks say", [checks_table(checks, "Checks of loops")]))
    return parts


def _loop(proposal: Proposal, reader: Reader, review: LoopReview) -> Part:
    loop = review.loop
    blocks: list[Block] = []
    if review.budget is not None:
        blocks += _budget(review.budget, reader)
    if rows := cable_rows(review):
        columns = (Column("Limited by"), Column("Length, m", "number"), Column("With", "says"))
        blocks.append(Table(f"Longest cable, {loop.title}", columns, _rows(rows), caption="Longest cable"))
    if review.budget is not None:
        columns = (
            Column("Conductor"),
            Column("mm²", "number"),
            Column("One core, Ω/km", "number"),
            Column("Longest cable for the supply, m", "number"),
        )
        rows = conductor_rows(review.budget)
        table = Table(
            f"Conductors, {loop.title}",
            columns,
            _rows(rows),
            caption="▸ in force; at the temperature of the budget",
        )
        blocks.append(Folded("Metric and AWG conductors", len(rows), [table]))
    if rows := band_rows(proposal, loop):
        unit = "mA" if loop.is_current_loop else "V"
        title = (
            "Bands of the loop current, NAMUR NE 43" if loop.is_current_loop else "Bands of the gap voltage"
        )
        blocks.append(
            Folded(
                title,
                len(rows),
                [Table(f"{title}, {loop.title}", (Column(unit, "number"), Column("Means")), _rows(rows))],
            )
        )
    if not blocks:
        blocks.append(Lines(["Nothing of this circuit depends on its cable: no supply, no dynamic signal."]))
    count = len(loop.points)
    protection = loop.points[0].installation.protection
    note = f"{count} loop{'' if count == 1 else 's'}, {loop.build}"
    return Part(loop.key, loop.title, blocks, prose(f"{note}, {words(protection)}" if protection else note))


def _budget(budget: SupplyBudget, reader: Reader) -> list[Block]:
    columns = (Column("Part"), Column("Figure", "number"), Column("Unit"), Column("Standing", "says"))
    rows = _rows(budget_rows(budget))
    if budget.works is False:
        rows[-2] = Row(rows[-2].cells, "needs")
    blocks: list[Block] = [
        Table(f"Supply budget, {budget.loop.title}", columns, rows, caption="Supply budget"),
        Lines([turning_text(budget)]),
    ]
    if budget.missing:
        told = [reader.fact(path) for path in budget.missing]
        blocks.append(Folded("Not told yet", len(told), [Lines(told, style="spaced")]))
    return blocks


def _rows(rows: Sequence[Sequence[str]]) -> list[Row]:
    return [Row(tuple(cells)) for cells in rows]


def entity_parts(proposal: Proposal, reader: Reader) -> list[Part]:
    """Return the parts of the page of intrinsic safety."""
    safe = [review for review in loop_reviews(proposal) if review.intrinsically_safe]
    if not safe:
        protection = next((point.installation.protection for point in proposal.points), None)
        text = (
            "No loop of this machine is intrinsically safe"
            f"{f': the concept is {words(protection)}' if protection else ''}. There is nothing to compare."
        )
        return [Part("none", "Entity comparison", [Lines([text])])]
    parts = [_entity(reader, review) for review in safe]
    checks = [check for check in proposal.checks if check.check in _IN_AREA]
    return [
        *parts,
        Part("checks", "What the checks say", [checks_table(checks, "Checks of intrinsic safety")]),
    ]


def _entity(reader: Reader, review: LoopReview) -> Part:
    compared = review.compared
    if compared is None:
        text = "Gas group of the area not told: what the source permits is open."
        return Part(review.loop.key, review.loop.title, [Lines([text])])
    columns = (
        Column("Quantity"),
        Column("Gives or has"),
        Column("Figure", "number"),
        Column("Rule"),
        Column("Bears or permits"),
        Column("Figure", "number"),
        Column("Unit"),
        Column("Standing", "nowrap"),
        Column("Note", "says"),
    )
    rows = [
        Row(tuple(cells), "needs" if line.holds is False else "")
        for cells, line in zip(comparison_rows(compared), compared.lines, strict=True)
    ]
    blocks: list[Block] = [Table(f"Entity comparison, {review.loop.title}", columns, rows)]
    length = "none fits" if compared.longest is None else f"{compared.longest.length_m:.0f} m"
    halved = "; Co and Lo halved (50 percent rule)" if compared.halved else ""
    stands = " An illustration: figures are missing." if compared.missing else ""
    run = NONE if compared.run_m is None else f"{compared.run_m:g} m"
    said = (
        f"Longest cable {length}, governed by {compared.governed_by}{halved}; run of this machine {run}, "
        f"cable {compared.cable_pf_per_m:g} pF/m and {compared.cable_uh_per_m:g} µH/m.{stands}"
    )
    blocks.append(Lines([said]))
    if compared.missing:
        told = [reader.fact(path) for path in compared.missing]
        blocks.append(Folded("Not told yet", len(told), [Lines(told, style="spaced")]))
    blocks.append(Lines(compared.notes, style="soft"))
    count = len(review.loop.points)
    note = f"group {compared.gas_group}, {count} loop{'' if count == 1 else 's'}"
    return Part(review.loop.key, review.loop.title, blocks, note)
