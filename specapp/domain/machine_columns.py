"""The fields of machine/1 as columns of a table, made from the models themselves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from specapp.domain.machine import MOST_PINIONS, MachineDescription, Pinion
from specapp.domain.problems import TABLES
from specapp.domain.quantities import Quantity
from specapp.domain.scalars import Whole

Form = Literal["quantity", "whole", "truth", "whole_list", "word_list", "name_list", "word"]

# Devices, overrides and sources are tables by key, not fields of a machine.
_LEFT_OUT = frozenset(TABLES)


@dataclass(frozen=True, slots=True)
class Column:
    """A field of machine/1 as a column: its path, how its cells are read, its quantity if it is one."""

    path: str
    form: Form
    quantity: Quantity | None = None


@cache
def columns() -> Mapping[str, Column]:
    """Return every column by its path, in the order of machine/1."""
    found = [Column("hazardous_area", "word")]
    for name, field in MachineDescription.model_fields.items():
        if name == "pinions":
            for index in range(MOST_PINIONS):
                found += _of_model(Pinion, f"pinions[{index}].")
        elif name not in _LEFT_OUT:
            found += _of_field(name, field)
    return {column.path: column for column in found}


def _of_model(model: type[BaseModel], prefix: str) -> Iterator[Column]:
    for name, field in model.model_fields.items():
        if not field.exclude:
            yield from _of_field(f"{prefix}{name}", field)


def _of_field(path: str, field: FieldInfo) -> Iterator[Column]:
    parts = _parts(field.annotation, field.metadata)
    model = next((part for part in parts if isinstance(part, type) and issubclass(part, BaseModel)), None)
    if model is not None:
        yield from _of_model(model, f"{path}.")
        return
    quantity = next((part for part in parts if isinstance(part, Quantity)), None)
    yield Column(path, _form(path, parts), quantity)


def _parts(annotation: Any, metadata: Iterable[Any]) -> list[Any]:
    """Return every type and every mark that an annotation is built of."""
    parts = [*metadata]
    arguments = get_args(annotation)
    if get_origin(annotation) is Literal:
        return parts
    if not arguments:
        return [*parts, annotation]
    for argument in arguments:
        parts += [] if argument is Ellipsis else _parts(argument, ())
    return [*parts, get_origin(annotation)]


def _form(path: str, parts: Sequence[Any]) -> Form:
    if tuple in parts:
        if any(isinstance(part, Whole) for part in parts):
            return "whole_list"
        # Names of gases hold commas and spaces (1,1-difluoroethane), letters of trains do not.
        return "name_list" if path.endswith("gases") else "word_list"
    if any(isinstance(part, Quantity) for part in parts):
        return "quantity"
    if any(isinstance(part, Whole) for part in parts):
        return "whole"
    return "truth" if bool in parts else "word"
