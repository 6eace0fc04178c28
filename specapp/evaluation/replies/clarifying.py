"""Questions back to a bidder, in neutral words: the clause, what was offered, what counts as an answer."""

from __future__ import annotations

from typing import Final

from specapp.evaluation.replies.offer import Reply
from specapp.evaluation.requirements.criterion import Criterion, criterion_text, unit_text
from specapp.evaluation.requirements.requirement import Requirement

_LONGEST: Final = 300


def question(requirement: Requirement, reply: Reply | None, reason: str) -> str:
    """Return the clarification to send for a reply; it names no other bidder, no price and no rating."""
    said = _said(reply)
    return (
        f"{requirement.id} {requirement.title}. Asked: {requirement.text} "
        f"Your reply: {said}. It cannot be taken as it stands: {reason}. "
        f"What counts as an answer: {wanted(requirement.criterion)}."
    )


def _said(reply: Reply | None) -> str:
    if reply is None:
        return "none"
    parts: list[str] = [reply.claim] if reply.claim else []
    parts += [f"“{text[:_LONGEST]}”" for text in (reply.offered, reply.remark) if text]
    return ", ".join(parts) or "none"


def wanted(criterion: Criterion) -> str:
    """Return what counts as an answer to a criterion."""
    unit = unit_text(criterion)
    in_unit = f" in {unit}" if unit else ""
    match criterion.kind:
        case "count":
            return f"the number offered ({criterion_text(criterion)} is asked), and which items make it up"
        case "at_least" | "at_most" | "within":
            return f"one guaranteed figure{in_unit}, with file and page, or a stated deviation"
        case "covers":
            return f"the guaranteed range, both ends{in_unit}, with file and page, or a stated deviation"
        case "one_of":
            return "the entries of the list that are offered, by name, with file and page"
        case "marking":
            return "the whole marking of each device as on its label, parted by semicolons, with certificate"
        case "document":
            return "the document by file and page"
        case "stated":
            return "the statement itself, in a sentence, with file and page"
        case "trip_reliability":
            return "the failure rates of each kind of device, with their unit and source"
    return "yes or no, with what is included, and file and page"
