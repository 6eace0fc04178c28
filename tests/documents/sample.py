"""Proposals for the document tests, made from the sample machines and changed where a test needs it."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from specapp.documents.registry import DOCUMENTS
from specapp.domain.proposal import Proposal
from specapp.rulebook.proposing import propose_document

MACHINES = Path(__file__).resolve().parents[2] / "fixtures" / "machines"
NAMES = tuple(sorted(path.stem for path in MACHINES.glob("*.json")))


def description(name: str) -> dict[str, Any]:
    document: dict[str, Any] = json.loads((MACHINES / f"{name}.json").read_bytes())
    return document


@cache
def proposal(name: str) -> Proposal:
    """Return the proposal of a sample machine, made once a test run."""
    return propose_document(description(name))


@cache
def rendered(key: str, name: str) -> bytes:
    """Return a document of a sample machine on its usual paper, written once a test run."""
    return DOCUMENTS[key].render(proposal(name))


@cache
def proposal_with_hold() -> Proposal:
    """A pinion whose clearance is so small that its alarm falls below the acceptance limit."""
    document = description("contract_example")
    document["pinions"][0] |= {"journal_diameter": "60 mm", "diametral_clearance": "0.04 mm"}
    return propose_document(document)


HOSTILE = "<img src='file:///etc/hostname'> & <b>bold</b> =cmd|'/c calc'!A0 (\\)"
IDEOGRAPHS = "压缩机"
HEBREW = "שלום"


@cache
def hostile_proposal() -> Proposal:
    """Free texts that would be mark-up, formulas, foreign scripts or endless words elsewhere."""
    document = description("turbine_driven_hydrogen")
    document |= {
        "title": HOSTILE,
        "service": f"=1+1 {IDEOGRAPHS} {HEBREW} na\u00efve",
        "site": "W" * 190,
        "trains": ["A", "B"],
    }
    document["pinions"][0]["maker_name"] = "@SUM(A1)"
    document["pinions"][1]["shaft_material"] = "+" + "x" * 58
    document["criteria"] = {
        "radial.trip_multiple": {"value": 1.8, "reason": '=HYPERLINK("x") owner, clause 7.3 ' + "very " * 80}
    }
    return propose_document(document)


@cache
def proposal_with_long_names() -> Proposal:
    """Names at their greatest length, with no space to break them at."""
    document = description("contract_example")
    document |= {"tag": "W" * 40, "trains": ["AAA", "WWW"], "title": "W" * 200}
    document["pinions"][0]["maker_name"] = "M" * 40
    return propose_document(document)
