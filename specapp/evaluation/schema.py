"""JSON Schema of bids/1, made from the models themselves."""

from __future__ import annotations

from typing import Any

from specapp.evaluation.bids import FORMAT, Bids

_REQUIRED = {
    "Bids": ["settings", "bidders"],
    "Settings": ["currency"],
    "Weights": ["technical", "price"],
    "Bidder": ["name"],
    "DecidedLoad": ["amount", "reason"],
}


def bids_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of the input of an evaluation.

    It says what each field takes; what fields say about each other only reading checks.
    """
    schema = Bids.model_json_schema()
    definitions: dict[str, dict[str, Any]] = schema.pop("$defs")
    for name, part in (("Bids", schema), *definitions.items()):
        part["required"] = _REQUIRED[name]
        for field_name, field in part["properties"].items():
            _tidy(field, optional=field_name not in part["required"])
    schema["properties"]["bidders"]["minItems"] = 1
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": FORMAT,
        "$defs": definitions,
    }


def _tidy(field: dict[str, Any], *, optional: bool) -> None:
    """Take the generator's titles and defaults out; null means not told, wherever a field is optional."""
    field.pop("title", None)
    field.pop("default", None)
    if not optional:
        return
    choices = field.pop("anyOf", None) or [dict(field)]
    field.clear()
    field["anyOf"] = [*(choice for choice in choices if choice != {"type": "null"}), {"type": "null"}]
