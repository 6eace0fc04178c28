"""Rows of revisions: numbering, frozen contents, signatures, issues and their documents, holds."""

from specapp.revisions.models.revisions import (
    LONGEST_REASON,
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
    "HoldItem",
    "Issue",
    "IssuedDocument",
    "Numbering",
    "Part",
    "PointOpened",
    "Purpose",
    "PurposeRule",
    "RegisterEntry",
    "Revision",
    "Series",
    "Signature",
    "State",
    "StoredFile",
]
