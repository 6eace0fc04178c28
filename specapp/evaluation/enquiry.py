"""What is sent to every bidder alike: requirements, bill, documents, priced items, terms of answering."""

from __future__ import annotations

from typing import Final

import msgspec

from specapp.evaluation.requirements.requirement import RequirementSet


class VendorDocument(msgspec.Struct, frozen=True):
    """A document asked of the bidder; `weeks` after order (0: with the offer)."""

    key: str
    title: str
    weeks: int
    purpose: str


class PricedItem(msgspec.Struct, frozen=True):
    """A service or part priced beside the supply."""

    key: str
    title: str


class ScopeRow(msgspec.Struct, frozen=True):
    """A link of the measuring chain and who supplies it, machine by machine."""

    link: str
    text: str
    owners: tuple[tuple[str, str], ...]


class EnquirySheet(msgspec.Struct, frozen=True):
    """One issue of an enquiry, the same for every bidder: nothing in it depends on who is asked.

    `closes` is the closing time in words, with its zone. `weights` by group are there only where the
    enquiry discloses them.
    """

    reference: str
    title: str
    project: str
    amendment: int
    issued_on: str
    closes: str
    asked: RequirementSet
    documents: tuple[VendorDocument, ...]
    items: tuple[PricedItem, ...]
    scope: tuple[ScopeRow, ...] = ()
    currency: str = ""
    method: str = ""
    weights: tuple[tuple[str, float], ...] = ()
    clauses: tuple[tuple[str, str], ...] = ()
    one_person_opening: bool = False


# What a vendor usually hands over, with weeks after order (common practice).
DOCUMENTS: Final = (
    VendorDocument("deviation_list", "List of deviations, or “none”", 0, "for information"),
    VendorDocument("data_sheets", "Data sheets as offered", 0, "for information"),
    VendorDocument("certificates", "Certificates of equipment in classified areas", 0, "for information"),
    VendorDocument("failure_data", "Failure data with source", 0, "for information"),
    VendorDocument("references", "References and bought-out items", 0, "for information"),
    VendorDocument("document_list", "List of vendor documents with dates", 2, "for approval"),
    VendorDocument(
        "arrangement", "Arrangement of racks, boxes and cabinets, weights, heat load", 6, "for approval"
    ),
    VendorDocument("loop_drawings", "Loop and wiring drawings", 8, "for approval"),
    VendorDocument("loop_calculations", "Calculations of intrinsically safe loops", 8, "for approval"),
    VendorDocument("settings_list", "List of settings and configuration", 10, "for approval"),
    VendorDocument("register_map", "Register map of the data link", 10, "for information"),
    VendorDocument("network", "Drawing of zones and conduits", 10, "for approval"),
    VendorDocument("test_procedure", "Procedure of the factory test", 12, "for approval"),
    VendorDocument("spares_list", "Spares for two years, with interchange", 12, "for information"),
    VendorDocument("test_record", "Record of the factory test", 20, "for information"),
    VendorDocument("manuals", "Manuals", 20, "for information"),
    VendorDocument("calibration", "Calibration records of probe systems", 20, "for information"),
    VendorDocument("as_built", "Drawings, settings and configuration as built", 30, "for information"),
)
ITEMS: Final = (
    PricedItem("factory_test", "Factory test, witnessed, all channels"),
    PricedItem("site_days", "Site test and commissioning, days as asked"),
    PricedItem("training", "Training"),
    PricedItem("software", "Software and licences"),
    PricedItem("documents", "Documents as listed"),
    PricedItem("packing", "Packing and preservation"),
)
