"""The interface's own document turned into what its page shows."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

_PARTS = {"query": "in the query", "path": "in the address"}


@dataclass(frozen=True, slots=True)
class Field:
    """A field of an address, a query or a body, in a line."""

    name: str
    kind: str
    where: str
    required: bool
    about: str


@dataclass(frozen=True, slots=True)
class Operation:
    """One thing that can be asked for."""

    method: str
    address: str
    summary: str
    about: str
    fields: tuple[Field, ...]
    body: str
    answers: tuple[tuple[str, str], ...]

    @property
    def anchor(self) -> str:
        return f"{self.method}{self.address}".lower().translate(str.maketrans("/{}", "---")).strip("-")


def operations(document: Mapping[str, Any]) -> dict[str, list[Operation]]:
    """Return the operations of an OpenAPI document by subject, in its order."""
    groups: dict[str, list[Operation]] = {}
    for address, methods in document["paths"].items():
        for method, facts in methods.items():
            groups.setdefault(facts["tags"][0], []).append(_operation(document, address, method, facts))
    return groups


def _operation(document: Mapping[str, Any], address: str, method: str, facts: Any) -> Operation:
    request = facts.get("requestBody", {})
    body, fields = _body(document, request)
    given = [
        Field(
            each["name"],
            _kind(document, each["schema"]),
            _PARTS[each["in"]],
            each["required"],
            each.get("description") or each["schema"].get("description", ""),
        )
        for each in facts["parameters"]
    ]
    answers = tuple(
        (str(status), _answer(document, each))
        for status, each in facts["responses"].items()
        if int(status) < 300
    )
    return Operation(
        method.upper(),
        address,
        facts["summary"],
        facts.get("description", "").replace("`", ""),
        (*given, *fields),
        body,
        answers,
    )


def _body(document: Mapping[str, Any], request: Mapping[str, Any]) -> tuple[str, tuple[Field, ...]]:
    """Return what a body is, in words, and its fields; a body that is a file has none."""
    if not request:
        return "", ()
    schema = next(iter(request["content"].values()))["schema"]
    if "$ref" not in schema:
        return request["description"], ()
    name = schema["$ref"].rpartition("/")[2]
    if name == "machine1":
        return "machine/1", ()
    return "an object", tuple(_fields(document, document["components"]["schemas"][name]))


def _fields(document: Mapping[str, Any], schema: Mapping[str, Any]) -> Iterator[Field]:
    required = schema.get("required", [])
    for name, each in schema["properties"].items():
        about = each.get("description", "")
        if each.get("default"):
            about = f"{about} {each['default']} unless told.".strip()
        yield Field(name, _kind(document, each), "in the body", name in required, about)


def _kind(document: Mapping[str, Any], schema: Mapping[str, Any]) -> str:
    if "$ref" in schema:
        part = document["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
        if "enum" in part:
            return _kind(document, part)
        return "an object of " + ", ".join(part.get("properties", {}))
    if "enum" in schema:
        return ", ".join(map(str, schema["enum"]))
    if "anyOf" in schema:
        return " or ".join(_kind(document, each) for each in schema["anyOf"])
    kind = schema.get("format") or schema.get("type", "anything")
    words = {
        "string": "text",
        "integer": "whole number",
        "number": "number",
        "boolean": "true or false",
        "date-time": "time",
        "array": "list",
    }
    least, most = schema.get("minimum"), schema.get("maximum", schema.get("maxLength"))
    limits = f", at most {most}" if most is not None and kind in ("string", "number") else ""
    return f"{words.get(kind, kind)}{limits}" if least in (None, 0, 1) else f"{words.get(kind, kind)}"


def _answer(document: Mapping[str, Any], response: Mapping[str, Any]) -> str:
    content = response.get("content", {})
    schema = next(iter(content.values()), {}).get("schema", {})
    if "$ref" in schema:
        part = document["components"]["schemas"][schema["$ref"].rpartition("/")[2]]
        return "an object of " + ", ".join(part.get("properties", {}))
    return f"{response.get('description', '').replace('`', '')} ({', '.join(content)})"
