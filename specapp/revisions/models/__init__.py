"""Rows of revisions: numbering, frozen contents, signatures, issues, their documents and readers."""

from specapp.revisions.models.distribution import SENT_TO, Receipt, Recipient
from specapp.revisions.models.revisions import (
    LONGEST_REASON,
    LONGEST_TO,
    HoldItem,
    Issue,
    IssuedDocument,
    Part,
    PointOpened,
    Revision,
    Signature,
    State,
    StoredFile,
)
from specapp.revisions.models.settings import Numbering, Purpose, PurposeRule, RegisterEntry, Series

__all__ = [
    "LONGEST_REASON",
    "LONGEST_TO",
    "SENT_TO",
    "HoldItem",
    "Issue",
    "IssuedDocument",
    "Numbering",
    "Part",
    "PointOpened",
    "Purpose",
    "PurposeRule",
    "Receipt",
    "Recipient",
    "RegisterEntry",
    "Revision",
    "Series",
    "Signature",
    "State",
    "StoredFile",
]
