"""The descriptive system document: a sheet for each kind of loop, with the tags it stands for."""

from __future__ import annotations

from typing import Final

from specapp.documents.book import Book
from specapp.documents.front import sheet_notes, title_block
from specapp.documents.loop_sheet import (
    set_bands,
    set_budget,
    set_cable,
    set_comparison,
    set_sketch,
    set_tags,
)
from specapp.documents.marks import state
from specapp.documents.options import Options
from specapp.documents.tables import Column, Table, set_table, trimmed
from specapp.documents.wording import NONE, plain, prose, words
from specapp.domain.proposal import Proposal
from specapp.kernel.protection_concepts import ConceptOfArea, concepts_for_division, concepts_for_level
from specapp.rulebook.entity_comparison import EntityComparison, entity_comparison
from specapp.rulebook.loop_budget import (
    SupplyBudget,
    has_supply_budget,
    longest_for_bandwidth,
    supply_budget,
)
from specapp.rulebook.loop_types import LoopFacts, LoopType, facts_of_proposal, loop_types

TITLE: Final = "Descriptive system document, measuring loops"

_SAFE: Final = ("ia", "ic")
_CABLE_KEYS: Final = ("cable.capacitance", "cable.inductance")
_SHIELDS: Final = ("shield", "earthed", "Intrinsically safe cables", "Gap voltages", "Current loops")


def render(proposal: Proposal, options: Options) -> bytes:
    """Return the document as PDF, the same bytes for the same proposal and options."""
    book = Book(
        options,
        title_block(proposal, options, TITLE),
        sheet_notes(proposal),
        subject="Measuring loops: entity comparison, cable, supply, shields, tags",
        cover=False,
    )
    facts = facts_of_proposal(proposal)
    loops = loop_types(proposal.points)
    _summary(book, proposal, loops)
    for loop in loops:
        _loop(book, proposal, facts, loop)
    _area(book, proposal)
    return book.finish()


def _is_safe(loop: LoopType) -> bool:
    return bool(loop.points[0].installation.protection in _SAFE)


def _summary(book: Book, proposal: Proposal, loops: tuple[LoopType, ...]) -> None:
    book.section("Loops of this machine", landscape=False)
    safe = [loop for loop in loops if _is_safe(loop)]
    if safe:
        book.paragraph(
            "Each kind of loop is built alike and described once, with every tag it stands for. Figures of "
            "devices are those told; a placeholder only illustrates and nothing is verified on it. The "
            "certificates govern."
        )
    else:
        book.paragraph(
            "No loop of this machine is intrinsically safe, so that no entity comparison applies. The sheets "
            "give supply, cable, bands, shields and tags of each kind of loop."
        )
    rows = [
        (
            loop.title,
            prose(loop.build),
            str(len(loop.points)),
            words(loop.points[0].installation.protection),
            loop.points[0].installation.required_marking or NONE,
        )
        for loop in loops
    ]
    columns = (
        Column("Kind of loop", bold=True),
        Column("Build", widest=180),
        Column("Points", "right"),
        Column("Protection"),
        Column("Required marking"),
    )
    set_table(book, Table(columns, rows))
    checks = [
        check
        for check in proposal.checks
        if check.check in ("intrinsic_safety.entity", "loop.supply", "area.marking")
    ]
    if checks:
        book.heading("What the checks say", with_next=60)
        set_table(
            book,
            Table(
                (Column("Result"), Column("Check", bold=True), Column("Finding", widest=390)),
                [(state(check.result), check.check, prose(check.text)) for check in checks],
            ),
        )
    book.heading("Shields, earths and bands", with_next=40)
    for note in proposal.architecture.notes:
        if any(word in note for word in _SHIELDS):
            book.paragraph(prose(note), after=2)


def _loop(book: Book, proposal: Proposal, facts: LoopFacts, loop: LoopType) -> None:
    safe = _is_safe(loop)
    book.section(prose(f"{loop.title}: {loop.build}"), landscape=False, new_sheet=True)
    set_sketch(book, proposal, loop, isolated=safe)
    criteria = {str(row["key"]): row["value"] for row in proposal.criteria}
    compared: EntityComparison | None = None
    budget: SupplyBudget | None = None
    group = _gas_group(proposal, loop)
    if safe and group is None:
        book.paragraph("Gas group of the area not told: what the source permits is open.")
    elif safe and group is not None:
        fallback = any(row.get("override") is None for row in proposal.criteria if row["key"] in _CABLE_KEYS)
        compared = entity_comparison(
            loop,
            facts,
            group,
            criteria,
            temperature_class=_temperature_class(proposal, loop),
            fallback_cable=fallback,
        )
        set_comparison(book, compared)
    if has_supply_budget(loop):
        budget = supply_budget(loop, facts, criteria, isolated=safe)
        set_budget(book, budget)
    set_cable(book, compared, budget, longest_for_bandwidth(proposal.checks, facts, loop, criteria))
    set_bands(book, proposal, loop)
    set_tags(book, proposal, loop)


def _gas_group(proposal: Proposal, loop: LoopType) -> str | None:
    """Return the group told, else the one that the required marking names."""
    area = proposal.machine.get("hazardous_area")
    told = area.get("gas_group") if isinstance(area, dict) else None
    if told:
        return str(told)
    marking = loop.points[0].installation.required_marking or ""
    words_of = marking.replace(",", " ").split()
    if "Group" in words_of:
        return words_of[words_of.index("Group") + 1]
    if "Groups" in words_of:
        return words_of[words_of.index("Groups") + 1]
    return next((word for word in words_of if word.startswith("II")), None)


def _temperature_class(proposal: Proposal, loop: LoopType) -> str:
    """Return the class told, else the one that the required marking names, else the strictest."""
    area = proposal.machine.get("hazardous_area")
    told = area.get("temperature_class") if isinstance(area, dict) else None
    marking = (loop.points[0].installation.required_marking or "").replace(",", " ").split()
    return (
        str(told)
        if told
        else next((word for word in marking if word[:1] == "T" and word[1:2].isdigit()), "T6")
    )


def _area(book: Book, proposal: Proposal) -> None:
    told = proposal.machine.get("hazardous_area")
    book.section("Hazardous area", landscape=False, with_next=140)
    book.paragraph(f"Classification told: {plain(told)}.")
    for note in proposal.architecture.notes:
        if note.startswith(
            ("Ignition temperatures differ", "Certificates in the area", "Galvanic isolators")
        ):
            book.paragraph(prose(note), after=2)
    found = _admitted(proposal)
    if found:
        book.heading("Types of protection that the area admits", with_next=80)
        alike: dict[tuple[str, str, str], list[str]] = {}
        for each in found:
            name = each.name if each.level else NONE
            alike.setdefault((name, each.level or NONE, each.condition or NONE), []).append(each.code)
        rows = [(", ".join(codes), *said) for said, codes in alike.items()]
        columns = (
            Column("Codes", bold=True),
            Column("Type", widest=150),
            Column("Best level"),
            Column("Condition", widest=200),
        )
        set_table(book, trimmed(columns, rows))


def _admitted(proposal: Proposal) -> tuple[ConceptOfArea, ...]:
    place = proposal.points[0].installation if proposal.points else None
    if place is None:
        return ()
    if place.equipment_protection_level is not None:
        return concepts_for_level(place.equipment_protection_level)
    return () if place.division is None else concepts_for_division(place.division)
