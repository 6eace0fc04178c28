"""The criteria as a document for people and programs: what each is and what an override may be."""

from __future__ import annotations

from typing import Any

from specapp.criteria.criterion import Criterion
from specapp.criteria.loader import load_defaults

_SHOWN = (
    "key",
    "title",
    "value",
    "unit",
    "minimum",
    "maximum",
    "whole",
    "status",
    "source",
    "edition",
    "note",
)


def criteria_list() -> dict[str, Any]:
    """Return every criterion in force with its default value and the range an override must stay in."""
    criteria = load_defaults()
    return {
        "format": "criteria/1",
        "digest": criteria.digest,
        "criteria": [_listed(each) for each in criteria],
    }


def _listed(criterion: Criterion) -> dict[str, Any]:
    row = {name: getattr(criterion, name) for name in _SHOWN}
    return {**row, "valid_from": criterion.valid_from.isoformat()}
