"""Rows of enquiries and offers."""

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

__all__ = [
    "BASE",
    "LONGEST_REASON",
    "Acknowledgement",
    "Amendment",
    "Bidder",
    "Cancellation",
    "Clarification",
    "Decision",
    "Enquiry",
    "Envelope",
    "Offer",
    "OfferContent",
    "Opening",
    "OpeningPerson",
    "Part",
    "Requirement",
    "Stage",
    "StageSignature",
    "Transcription",
]
