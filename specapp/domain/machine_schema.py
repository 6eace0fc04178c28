"""JSON Schema of machine/1, made from the models themselves."""

from __future__ import annotations

from typing import Any

from specapp.domain.machine import MachineDescription

_REQUIRED = ["tag", "service_class", "stage_count", "pinions", "hazardous_area"]


def machine_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a machine description.

    It says what each field takes; what fields say about each other only reading checks.
    """
    schema = MachineDescription.model_json_schema()
    definitions = schema["$defs"]
    for part in (schema, *definitions.values()):
        _tidy(part)
    area = definitions["HazardousArea"]
    del area["properties"]["unclassified"]
    definitions["Driver"]["required"] = ["kind"]
    definitions["CriterionOverride"]["required"] = ["value", "reason"]
    schema["required"] = _REQUIRED
    schema["properties"]["pinions"]["minItems"] = 1
    schema["properties"]["hazardous_area"] = {
        "anyOf": [{"const": "unclassified"}, {"$ref": "#/$defs/HazardousArea"}]
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "machine/1",
        **{key: value for key, value in schema.items() if key not in ("title", "$defs")},
        "$defs": definitions,
    }


def _tidy(part: dict[str, Any]) -> None:
    """Take the generator's titles and defaults out of the properties: null means not told everywhere."""
    for name, field in part.get("properties", {}).items():
        field.pop("title", None)
        field.pop("default", None)
        choices = [choice for choice in field.pop("anyOf", [])]
        if not choices:
            continue
        told = [choice for choice in choices if choice != {"type": "null"}]
        if len(told) == 1 and len(choices) > 1:
            part["properties"][name] = {"anyOf": [*_flat(told[0]), {"type": "null"}], **_words(told[0])}
        else:
            field["anyOf"] = choices


def _flat(choice: dict[str, Any]) -> list[dict[str, Any]]:
    return choice["anyOf"] if "anyOf" in choice else [{k: v for k, v in choice.items() if k != "description"}]


def _words(choice: dict[str, Any]) -> dict[str, Any]:
    return {"description": choice["description"]} if "description" in choice else {}
