"""What one field of a description may be told: the words it chooses from, or the range of a whole number."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel

from specapp.domain.machine import MachineDescription
from specapp.domain.scalars import Whole

_PARTS = re.compile(r"[a-z_]+")


@cache
def choices_of(path: str) -> tuple[str, ...]:
    """Return the words that the field at a machine/1 path chooses from, empty where it is free."""
    annotation = _annotation(path)
    found = next((part for part in _spread(annotation) if get_origin(part) is Literal), None)
    return tuple(str(value) for value in get_args(found)) if found is not None else ()


@cache
def whole_of(path: str) -> Whole | None:
    """Return the range of the field at a machine/1 path where it is one whole number."""
    parts = list(_spread(_annotation(path)))
    if any(get_origin(part) is tuple for part in parts):
        return None
    return next((part for part in parts if isinstance(part, Whole)), None)


def _annotation(path: str) -> Any:
    """Return the annotation at a path with the marks of its field; raises KeyError for a path of no field."""
    owner: Any = MachineDescription
    annotation: Any = None
    for name in _PARTS.findall(path):
        if owner is None:
            raise KeyError(path)
        field = owner.model_fields[name]
        annotation = (field.annotation, *field.metadata)
        models = (part for part in _spread(annotation) if isinstance(part, type))
        owner = next((model for model in models if issubclass(model, BaseModel)), None)
    return annotation


def _spread(annotation: Any) -> Iterable[Any]:
    """Yield an annotation and everything it is built of; the words of a choice stay together."""
    if isinstance(annotation, tuple):
        for part in annotation:
            yield from _spread(part)
        return
    yield annotation
    if get_origin(annotation) is not Literal:
        for part in get_args(annotation):
            yield from _spread(part)
