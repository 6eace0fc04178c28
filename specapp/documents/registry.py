"""Every document the project can print, by its key.

Views, the command line and the tests iterate this mapping. A document's module is imported when it
is first rendered, because the libraries that write PDF and workbooks take longer to import than a
proposal takes to make.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from types import MappingProxyType
from typing import Final, cast

from specapp.documents.options import Options
from specapp.domain.proposal import Proposal

PDF: Final = "application/pdf"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
CSV: Final = "text/csv; charset=utf-8"
SVG: Final = "image/svg+xml"
JSON: Final = "application/json"


@dataclass(frozen=True, slots=True)
class Document:
    """One document: its key, its title for menus, its file name, and where its renderer stands."""

    key: str
    title: str
    filename: str
    media_type: str
    renderer: str

    def render(self, proposal: Proposal, options: Options | None = None) -> bytes:
        """Return the document as bytes, the same for the same proposal and options."""
        module, _, name = self.renderer.partition(":")
        renderer = getattr(import_module(f"specapp.documents.{module}"), name)
        return cast(bytes, renderer(proposal, options or Options()))


_ALL: Final = (
    Document("datasheet", "Datasheet", "datasheet.pdf", PDF, "datasheet:render"),
    Document(
        "bill_workbook", "Bill of materials, workbook", "bill_of_materials.xlsx", XLSX, "workbook:render"
    ),
    Document("bill", "Bill of materials", "bill_of_materials.csv", CSV, "csv_files:bill"),
    Document("points", "Instrument index", "points.csv", CSV, "csv_files:points"),
    Document("setpoints", "Setpoint schedule", "setpoints.csv", CSV, "csv_files:setpoints"),
    Document(
        "cause_and_effect", "Cause and effect", "cause_and_effect.csv", CSV, "csv_files:cause_and_effect"
    ),
    Document(
        "responsibility", "Responsibility matrix", "responsibility.csv", CSV, "csv_files:responsibility"
    ),
    Document(
        "channel_settings", "Channel setting sheets", "channel_settings.pdf", PDF, "channel_settings:render"
    ),
    Document(
        "descriptive_system",
        "Descriptive system document",
        "descriptive_system_document.pdf",
        PDF,
        "descriptive_system:render",
    ),
    Document("hand_sheets", "Hand sheets of the setpoints", "hand_sheets.pdf", PDF, "hand_sheet:render"),
    Document("schedules", "Field schedules", "schedules.pdf", PDF, "schedule_set:render"),
    Document(
        "schedules_workbook",
        "Field schedules, workbook",
        "schedules.xlsx",
        XLSX,
        "schedule_set:render_workbook",
    ),
    Document("pocket_cards", "Pocket cards", "pocket_cards.pdf", PDF, "pocket_cards:render"),
    Document(
        "verification_report",
        "Verification of trip functions",
        "verification_report.pdf",
        PDF,
        "verification_report:render",
    ),
    Document(
        "questions",
        "Questions to maker, owner, purchaser and supplier",
        "questions.pdf",
        PDF,
        "ask_sheet:render",
    ),
    Document(
        "questions_workbook", "Questions, workbook to fill in", "questions.xlsx", XLSX, "ask_workbook:render"
    ),
    Document(
        "factory_checklist",
        "Checklist of the factory test",
        "factory_checklist.pdf",
        PDF,
        "commissioning_checklist:render_factory",
    ),
    Document(
        "site_checklist",
        "Checklist of the site test",
        "site_checklist.pdf",
        PDF,
        "commissioning_checklist:render_site",
    ),
    Document("layout", "Machine drawing", "layout.svg", SVG, "scene_files:layout"),
    Document("architecture", "Architecture drawing", "architecture.svg", SVG, "scene_files:architecture"),
    Document("proposal", "Proposal", "proposal.json", JSON, "proposal_file:render"),
)

DOCUMENTS: Final[Mapping[str, Document]] = MappingProxyType({document.key: document for document in _ALL})
