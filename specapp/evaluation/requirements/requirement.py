"""A requirement of an enquiry: what is asked, why, how it is checked, how much it weighs."""

from __future__ import annotations

from typing import Final

import msgspec

from specapp.evaluation.requirements.criterion import Criterion

# The groups in the order of the sheet, with their usual share of the technical score (common practice;
# an enquiry may set others). Together 100.
GROUPS: Final[dict[str, tuple[str, float]]] = {
    "MEA": ("Measurement scope", 16),
    "SIG": ("Accuracy and signal", 11),
    "RNG": ("Ranges and setpoints", 11),
    "ENV": ("Environment", 6),
    "ARE": ("Hazardous area", 8),
    "POW": ("Power and integrity", 12),
    "REL": ("Relays and logic", 12),
    "COM": ("Communications", 6),
    "SEC": ("Security", 4),
    "DOC": ("Documents", 5),
    "TST": ("Tests", 5),
    "SUP": ("Spares, support and delivery", 4),
}


class Requirement(msgspec.Struct, frozen=True):
    """One line of the requirement sheet.

    `id` stays the same for the same question, whatever the machine; where a question is asked of several
    things, the thing follows behind a stroke. `weight` counts within its group. `status` is published,
    from memory or common practice; `reads` says which facts of the machines the text rests on.
    """

    id: str
    group: str
    title: str
    text: str
    criterion: Criterion
    weight: float
    knock_out: bool
    source: str
    status: str
    reads: tuple[str, ...] = ()


class BillItem(msgspec.Struct, frozen=True):
    """A line every bidder prices: quantity of the supply, and loose spares beside it."""

    key: str
    description: str
    quantity: int
    spares: int
    unit: str


class TripTarget(msgspec.Struct, frozen=True):
    """A trip function with a target: what probability of failure on demand it may have at most."""

    machine: str
    key: str
    title: str
    target: int
    limit_pfd: float


class RequirementSet(msgspec.Struct, frozen=True):
    """Everything an enquiry asks, made from one or several proposals.

    `open_points` names what the machines have not settled and a requirement would need.
    """

    machines: tuple[str, ...]
    owners: tuple[str, ...]
    requirements: tuple[Requirement, ...]
    bill: tuple[BillItem, ...]
    trips: tuple[TripTarget, ...]
    devices: tuple[str, ...]
    open_points: tuple[str, ...] = ()


def group_title(key: str) -> str:
    """Return what a group is called; a group of the user's own is called by its key."""
    return GROUPS[key][0] if key in GROUPS else key
