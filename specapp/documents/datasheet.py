"""The datasheet: everything of a proposal on drawing sheets."""

from __future__ import annotations

from specapp.documents.book import Book
from specapp.documents.front import draw_cover, sheet_notes, title_block
from specapp.documents.options import Options
from specapp.documents.sections import (
    architecture,
    area,
    bill,
    cause_and_effect,
    checks,
    frequencies,
    machine,
    points,
    reasons,
    reconciliation,
    responsibility,
    scope,
    setpoints,
    trip_reliability,
)
from specapp.domain.proposal import Proposal

TITLE = "Datasheet, machinery monitoring and protection"

_SECTIONS = (
    scope.governing_documents,
    scope.open_points,
    scope.assumptions,
    machine.machine_data,
    points.point_schedule,
    setpoints.setpoint_schedule,
    setpoints.setpoint_basis,
    setpoints.setpoint_scales,
    checks.installation_checks,
    frequencies.frequency_schedule,
    area.hazardous_area,
    architecture.drawings,
    architecture.equipment,
    cause_and_effect.matrix,
    cause_and_effect.process_protection,
    trip_reliability.safety_functions,
    bill.bill_of_materials,
    responsibility.matrix,
    reconciliation.counts,
    reasons.criteria_used,
    reasons.rules_applied,
    reasons.appendix,
)


def render(proposal: Proposal, options: Options) -> bytes:
    """Return the datasheet as PDF, the same bytes for the same proposal and options."""
    block = title_block(proposal, options, TITLE)
    book = Book(
        options,
        block,
        sheet_notes(proposal),
        subject="Specification of machinery monitoring and protection, integrally geared compressor",
        cover=True,
    )
    for section in _SECTIONS:
        section(book, proposal)
    return book.finish(lambda cover: draw_cover(cover, proposal, block))
