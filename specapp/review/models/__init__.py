"""Rows of the review: comments, reply codes, rounds of reviewers, what is being brought in."""

from specapp.review.models.comments import (
    LONGEST_REASON,
    LONGEST_TEXT,
    Attachment,
    Audience,
    Category,
    Closes,
    Comment,
    Discipline,
    Entry,
    Origin,
    ReplyCode,
    State,
    Step,
)
from specapp.review.models.rounds import Answer, Look, Reviewer, Round, RoundChange, StagedReview

__all__ = [
    "LONGEST_REASON",
    "LONGEST_TEXT",
    "Answer",
    "Attachment",
    "Audience",
    "Category",
    "Closes",
    "Comment",
    "Discipline",
    "Entry",
    "Look",
    "Origin",
    "ReplyCode",
    "Reviewer",
    "Round",
    "RoundChange",
    "StagedReview",
    "State",
    "Step",
]
