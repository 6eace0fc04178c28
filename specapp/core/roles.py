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
    EDIT_MACHINE = "describe machines"
    SET_CRITERIA = "set the owner's values for criteria"
    CONFIRM_CRITERIA = "confirm criteria against a licensed copy"
    MANAGE_PROJECT = "change the project and its members"


_READING = frozenset({Right.READ_DRAFT})

# Makers and bidders belong to another company: they see what is issued to them, never a working draft.
RIGHTS: dict[Role, frozenset[Right]] = {
    Role.OWNER: frozenset(Right),
    Role.ENGINEER: frozenset({Right.READ_DRAFT, Right.EDIT_MACHINE, Right.SET_CRITERIA}),
    Role.REVIEWER: frozenset({Right.READ_DRAFT, Right.CONFIRM_CRITERIA}),
    Role.APPROVER: _READING,
    Role.EVALUATOR: _READING,
    Role.BUYER: _READING,
    Role.CLIENT: _READING,
    Role.READER: _READING,
    Role.MAKER: frozenset(),
    Role.BIDDER: frozenset(),
}
