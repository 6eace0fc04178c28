"""machine/1 as the body of a request: its schema among the components, and reading it with every problem."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from django.http import HttpRequest

from specapp.domain.json_document import load_document
from specapp.domain.machine import FORMAT
from specapp.domain.machine_schema import machine_schema
from specapp.domain.reading import read_machine
from specapp.projects.worked import Ground, criteria_for
from specapp.rulebook.proposing import reading_context

_NAME = "machine1"
MACHINE_BODY: dict[str, Any] = {
    "requestBody": {
        "required": True,
        "content": {"application/json": {"schema": {"$ref": f"#/components/schemas/{_NAME}"}}},
    }
}


@lru_cache(maxsize=1)
def machine_components() -> dict[str, Any]:
    """Return the schema of machine/1 and its parts under names among the components."""
    schema = _referring(machine_schema())
    parts = schema.pop("$defs")
    schema.pop("$schema")
    return {_NAME: schema, **{f"{_NAME}.{name}": part for name, part in parts.items()}}


def _referring(value: Any) -> Any:
    if isinstance(value, dict):
        return {
            key: item.replace("#/$defs/", f"#/components/schemas/{_NAME}.")
            if key == "$ref"
            else _referring(item)
            for key, item in value.items()
        }
    return [_referring(item) for item in value] if isinstance(value, list) else value


def description_of(request: HttpRequest, ground: Ground) -> Mapping[str, Any]:
    """Return the description a request brings, as it was written. Raises `InputErrors` with every problem."""
    read_machine(request.body, reading_context(criteria_for(ground.criteria)))
    return load_document(request.body, FORMAT)[0]
