"""JSON Schema of proposal/1, made from its records: types, field names and docstrings, nothing twice."""

from __future__ import annotations

from typing import Any

import msgspec

from specapp.domain.proposal import FORMAT, Proposal, Record


def proposal_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) that every proposal of this version satisfies."""
    definitions: dict[str, dict[str, Any]] = msgspec.json.schema(Proposal)["$defs"]
    for definition in definitions.values():
        _as_written(definition)
    root = definitions.pop(Proposal.__name__)
    root["properties"]["format"] = {"const": FORMAT}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **root,
        "title": FORMAT,
        "$defs": dict(sorted(definitions.items())),
    }


def _as_written(definition: dict[str, Any]) -> None:
    """Say what a written record is: every field is there, with or without a default, and no other."""
    definition["required"] = list(definition["properties"])
    definition["additionalProperties"] = False
    for field in definition["properties"].values():
        field.pop("default", None)
    # A record without words of its own inherits those of the base, which tell a reader nothing.
    if definition.get("description") == msgspec.json.schema(Record)["$defs"][Record.__name__]["description"]:
        del definition["description"]
