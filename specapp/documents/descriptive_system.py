"""The descriptive system document: a sheet for each kind of loop, with the tags it stands for."""

from __future__ import annotations

from collections.abc import Sequence
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
from specapp.rulebook.check_names import check_words
from specapp.rulebook.loop_review import LoopReview, is_intrinsically_safe, loop_reviews
from specapp.rulebook.loop_types import LoopType

TITLE: Final = "Descriptive system document, measuring loops"

_CHECKS: Final = ("intrinsic_safety.", "loop.supply", "loop.charging", "loop.digital", "area.marking")
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
    reviews = loop_reviews(proposal)
    _summary(book, proposal, [review.loop for review in reviews])
    for review in reviews:
        _loop(book, proposal, review)
    _area(book, proposal)
    return book.finish()


def _summary(book: Book, proposal: Proposal, loops: Sequence[LoopType]) -> None:
    book.section("Loops of this machine", landscape=False)
    if any(is_intrinsically_safe(loop) for loop in loops):
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
    # The answer of a kind of loop stands on each of its groups; here it is said once.
    checks = dict.fromkeys(
        (state(check.result), check_words(check.check), prose(check.text))
        for check in proposal.checks
        if check.check.startswith(_CHECKS)
    )
    if checks:
        book.heading("What the checks say", with_next=60)
        set_table(
            book,
            Table(
                (Column("Result"), Column("Check", bold=True), Column("Finding", widest=390)),
                list(checks),
            ),
        )
    book.heading("Shields, earths and bands", with_next=40)
    for note in proposal.architecture.notes:
        if any(word in note for word in _SHIELDS):
            book.paragraph(prose(note), after=2)


def _loop(book: Book, proposal: Proposal, review: LoopReview) -> None:
    loop = review.loop
    book.section(prose(f"{loop.title}: {loop.build}"), landscape=False, new_sheet=True)
    set_sketch(book, proposal, loop, isolated=review.intrinsically_safe)
    if review.compared is not None:
        set_comparison(book, review.compared)
    elif review.intrinsically_safe:
        book.paragraph("Gas group of the area not told: what the source permits is open.")
    if review.budget is not None:
        set_budget(book, review.budget)
    set_cable(book, review)
    set_bands(book, proposal, loop)
    set_tags(book, proposal, loop)


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
