"""Rows of enquiries and offers."""

from specapp.bids.models.declining import Declining
from specapp.bids.models.enquiries import (
    LONGEST_REASON,
    Acknowledgement,
    Amendment,
    Bidder,
    Enquiry,
    Requirement,
    Stage,
)
from specapp.bids.models.life import Cancellation
from specapp.bids.models.loads import DecidedLoad
from specapp.bids.models.offers import (
    BASE,
    Clarification,
    Decision,
    Envelope,
    Offer,
    OfferContent,
    Opening,
    OpeningPerson,
    Part,
    StageSignature,
    Transcription,
)
from specapp.bids.models.reports import KeptReport, ReportKind

__all__ = [
    "BASE",
    "LONGEST_REASON",
    "Acknowledgement",
    "Amendment",
    "Bidder",
    "Cancellation",
    "Clarification",
    "DecidedLoad",
    "Decision",
    "Declining",
    "Enquiry",
    "Envelope",
    "KeptReport",
    "Offer",
    "OfferContent",
    "Opening",
    "OpeningPerson",
    "Part",
    "ReportKind",
    "Requirement",
    "Stage",
    "StageSignature",
    "Transcription",
]
