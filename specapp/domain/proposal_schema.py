"""JSON Schema of proposal/1, made from its records: types, field names and docstrings, nothing twice."""

from __future__ import annotations

import types
from collections.abc import Mapping
from typing import Any, Union, get_args, get_origin, get_type_hints

from specapp.domain.proposal import FORMAT, Proposal, Record

_PLAIN: Mapping[Any, Mapping[str, Any]] = {
    str: {"type": "string"},
    bool: {"type": "boolean"},
    int: {"type": "integer"},
    float: {"type": "number"},
    type(None): {"type": "null"},
    Any: {},
}


def proposal_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) that every proposal of this version satisfies."""
    definitions: dict[str, dict[str, Any]] = {}
    root = _object(Proposal, definitions)
    root["properties"]["format"] = {"const": FORMAT}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": FORMAT,
        **root,
        "$defs": dict(sorted(definitions.items())),
    }


def _object(kind: type[Record], definitions: dict[str, dict[str, Any]]) -> dict[str, Any]:
    hints = get_type_hints(kind)
    names = list(kind.__struct_fields__)
    schema: dict[str, Any] = {"type": "object"}
    if kind.__doc__ and kind.__doc__ != Record.__doc__:
        schema["description"] = " ".join(kind.__doc__.split())
    schema["properties"] = {name: _schema(hints[name], definitions) for name in names}
    schema["required"] = names
    schema["additionalProperties"] = False
    return schema


def _schema(hint: Any, definitions: dict[str, dict[str, Any]]) -> dict[str, Any]:
    if hint in _PLAIN:
        return dict(_PLAIN[hint])
    if isinstance(hint, type) and issubclass(hint, Record):
        if hint.__name__ not in definitions:
            definitions[hint.__name__] = {}  # stands in while the class itself is being described
            definitions[hint.__name__] = _object(hint, definitions)
        return {"$ref": f"#/$defs/{hint.__name__}"}
    origin, arguments = get_origin(hint), get_args(hint)
    if origin in (Union, types.UnionType):
        return {"anyOf": [_schema(each, definitions) for each in arguments]}
    if origin is tuple and arguments[-1] is Ellipsis:
        return {"type": "array", "items": _schema(arguments[0], definitions)}
    if origin is tuple:
        places = [_schema(each, definitions) for each in arguments]
        return {"type": "array", "prefixItems": places, "items": False, "minItems": len(places)}
    if origin is Mapping:
        values = _schema(arguments[1], definitions)
        return {"type": "object", "additionalProperties": values} if values else {"type": "object"}
    raise TypeError(f"no JSON Schema is known for {hint!r}")
