"""Reading bids/1: from JSON to `Bids`, or every problem at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from specapp.domain.findings import Findings, Location
from specapp.domain.json_document import load_document
from specapp.domain.model_reading import MOST_HINTS, allowed_text, in_document_order, without
from specapp.domain.problems import InputErrors, path_text, shown
from specapp.evaluation.bid_checks import check_bids
from specapp.evaluation.bids import FORMAT, Bids

_DECIDED = "decided_loads"
_TABLES = ("rates", "estimates", "groups", "items", "factors", _DECIDED)


def read_bids(document: bytes | str | Mapping[str, Any]) -> Bids:
    """Return the bids a document holds, checked. Raises `InputErrors` with every problem."""
    raw, key_problems = load_document(document, FORMAT)
    findings = Findings(raw, path=bids_path, name=_bidder_name)
    for place, problem in key_problems:
        findings.add(place, problem.allowed, found=problem.found)
    try:
        bids = Bids.model_validate(raw)
    except ValidationError as error:
        places = []
        for number, detail in enumerate(error.errors(include_url=False)):
            allowed, message = allowed_text(detail, Bids, FORMAT, hint=number < MOST_HINTS)
            findings.add(detail["loc"], allowed, message=message)
            places.append(detail["loc"])
        bids = Bids.model_validate(without(raw, places, emptied="bidders"))
    check_bids(bids, findings)
    if findings.located:
        raise InputErrors(in_document_order(findings.located, raw, Bids))
    return bids


def bids_path(place: Location) -> str:
    """Return a path as users read it; names of items, groups and currencies are their own words: quoted."""
    if len(place) > 1 and isinstance(place[-1], str) and place[-2] in _TABLES:
        return f"{path_text(place[:-1])}[{shown(place[-1])}]"
    if len(place) > 2 and place[-3] == _DECIDED:
        return f"{bids_path(place[:-1])}.{place[-1]}"
    return path_text(place)


def _bidder_name(raw: Mapping[str, Any], place: Location) -> str:
    """Return the name of the bidder a place is in, where it has a short one."""
    if len(place) < 3 or place[0] != "bidders":
        return ""
    try:
        name = raw["bidders"][place[1]]["name"]
    except (KeyError, IndexError, TypeError):
        return ""
    return name.strip() if isinstance(name, str) and name.isprintable() and len(name) <= 40 else ""
