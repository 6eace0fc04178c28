"""A proposal from a few facts, and its rows by name, for the tests of the rules."""

from __future__ import annotations

from typing import Any

from specapp.domain.proposal import proposal_json
from specapp.rulebook.proposing import propose_document

Document = dict[str, Any]

MINIMAL: Document = {
    "tag": "K-4410",
    "service_class": "process",
    "stage_count": 2,
    "bull_gear": {"speed": "1490 rpm"},
    "pinions": [{"speed": "18200 rpm"}],
    "hazardous_area": "unclassified",
}


def proposed(pinion: Document | None = None, **facts: Any) -> Document:
    """Return the proposal of a one-pinion machine in which `facts`, and facts of P1, differ."""
    machine = {**MINIMAL, **facts}
    if pinion is not None:
        machine["pinions"] = [{**MINIMAL["pinions"][0], **pinion}]
    return proposal_json(propose_document(machine))


def point(document: Document, key: str) -> Document:
    """Return the point of this key."""
    return next(row for row in document["points"] if row["key"] == key)


def checks(document: Document, name: str) -> dict[str, Document]:
    """Return the checks of this name by subject."""
    return {row["subject"]: row for row in document["checks"] if row["check"] == name}


def check(document: Document, name: str, subject: str) -> Document:
    """Return one check."""
    return checks(document, name)[subject]


def frequencies(document: Document, shaft: str, kind: str) -> list[float]:
    """Return the frequencies [Hz] of one kind under one shaft."""
    return [
        row["frequency"]["value"]
        for row in document["frequencies"]
        if row["shaft"] == shaft and row["kind"] == kind
    ]
