"""JSON Schema of machine/1, made from the models themselves."""

from __future__ import annotations

from typing import Any

from specapp.domain.devices import DEVICE_NAMES
from specapp.domain.machine import MachineDescription

_REQUIRED = ["tag", "service_class", "stage_count", "pinions", "hazardous_area"]


def machine_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a machine description.

    It says what each field takes; what fields say about each other only reading checks.
    """
    schema = MachineDescription.model_json_schema()
    definitions = schema["$defs"]
    schema["required"] = _REQUIRED
    definitions["CriterionOverride"]["required"] = ["value", "reason"]
    for part in (schema, *definitions.values()):
        _tidy(part, part.get("required", []))
    area = definitions["HazardousArea"]
    del area["properties"]["unclassified"]
    # The bull gear's speed may come from the driver.
    schema["anyOf"] = [{"required": ["bull_gear"]}, {"required": ["driver"]}]
    schema["properties"]["pinions"]["minItems"] = 1
    for choice in schema["properties"]["devices"]["anyOf"]:
        if choice != {"type": "null"}:
            choice["propertyNames"] = {"enum": list(DEVICE_NAMES)}
    schema["properties"]["hazardous_area"] = {
        "anyOf": [{"const": "unclassified"}, {"$ref": "#/$defs/HazardousArea"}]
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "machine/1",
        **{key: value for key, value in schema.items() if key not in ("title", "$defs")},
        "$defs": definitions,
    }


def _tidy(part: dict[str, Any], required: list[str]) -> None:
    """Take the generator's titles and defaults out; null means not told, wherever a field is optional."""
    for name, field in part.get("properties", {}).items():
        field.pop("title", None)
        field.pop("default", None)
        if name in required:
            continue
        told = [choice for choice in field.pop("anyOf", [field]) if choice != {"type": "null"}]
        words = {"description": told[0]["description"]} if "description" in told[0] else {}
        part["properties"][name] = {**words, "anyOf": [*_flat(told), {"type": "null"}]}


def _flat(choices: list[dict[str, Any]]) -> list[dict[str, Any]]:
    flat: list[dict[str, Any]] = []
    for choice in choices:
        flat += choice.get("anyOf") or [{key: value for key, value in choice.items() if key != "description"}]
    return flat
