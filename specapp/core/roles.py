"""What each role may do in a project."""

from enum import Enum

from django.db import models


class Role(models.TextChoices):
    OWNER = "OWNER", "owner"
    ENGINEER = "ENGINEER", "engineer"
    REVIEWER = "REVIEWER", "reviewer"
    APPROVER = "APPROVER", "approver"
    EVALUATOR = "EVALUATOR", "evaluator"
    BUYER = "BUYER", "buyer"
    MAKER = "MAKER", "maker"
    CLIENT = "CLIENT", "client"
    BIDDER = "BIDDER", "bidder"
    READER = "READER", "reader"


class Right(Enum):
    """One thing that a member may or may not do."""

    READ_DRAFT = "read machines and their proposals"
    READ_ISSUED = "read what was issued to you"
    EDIT_MACHINE = "describe machines"
    SET_CRITERIA = "set the owner's values for criteria"
    CONFIRM_CRITERIA = "confirm criteria against a licensed copy"
    READ_COMMENTS = "read comments"
    COMMENT = "comment"
    ANSWER_COMMENTS = "answer comments and ask for reviews"
    CHECK = "sign revisions as checked"
    APPROVE = "sign revisions as approved"
    ISSUE = "issue revisions"
    READ_BIDS = "read enquiries and offers"
    ENQUIRE = "make enquiries and receive offers"
    OPEN_OFFERS = "open offers"
    EVALUATE = "judge offers"
    AWARD = "recommend and award"
    MANAGE_PROJECT = "change the project and its members"


_READING = frozenset({Right.READ_DRAFT, Right.READ_ISSUED, Right.READ_COMMENTS})
_REVIEWING = _READING | {Right.COMMENT}
_OUTSIDE = frozenset({Right.READ_ISSUED, Right.READ_COMMENTS, Right.COMMENT})

# Makers, clients and bidders belong to another company: they see what is issued or addressed to
# them, never a working draft. A project may let its clients read drafts: projects.access.rights_in.
RIGHTS: dict[Role, frozenset[Right]] = {
    Role.OWNER: frozenset(Right),
    Role.ENGINEER: _REVIEWING
    | {Right.EDIT_MACHINE, Right.SET_CRITERIA, Right.ANSWER_COMMENTS, Right.CHECK, Right.ISSUE}
    | {Right.READ_BIDS, Right.ENQUIRE, Right.OPEN_OFFERS, Right.EVALUATE},
    Role.REVIEWER: _REVIEWING | {Right.CONFIRM_CRITERIA, Right.CHECK},
    Role.APPROVER: _REVIEWING | {Right.CHECK, Right.APPROVE, Right.READ_BIDS, Right.OPEN_OFFERS, Right.AWARD},
    Role.EVALUATOR: _READING | {Right.READ_BIDS, Right.OPEN_OFFERS, Right.EVALUATE},
    Role.BUYER: _READING | {Right.READ_BIDS, Right.ENQUIRE, Right.OPEN_OFFERS, Right.AWARD},
    Role.CLIENT: _OUTSIDE,
    Role.READER: _READING,
    Role.MAKER: _OUTSIDE,
    Role.BIDDER: frozenset(),
}
