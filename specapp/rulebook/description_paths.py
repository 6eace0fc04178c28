"""Paths into a description that was read: its numeric inputs, their limits, and another value in one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from specapp.domain.machine import MachineDescription
from specapp.domain.quantities import Quantity
from specapp.domain.scalars import Table, Whole

_PARTS = re.compile(r"[^.\[\]]+")
# These say what the machine is, not how large something on it is.
_NOT_A_SIZE = frozenset({"stage_count", "zone", "division"})


@dataclass(frozen=True, slots=True)
class NumericInput:
    """A numeric field of a description: its path, unit, limits and whether it counts whole things.

    `step` is the finest difference worth telling apart, in the unit.
    """

    path: str
    unit: str
    minimum: float
    maximum: float
    exclusive_minimum: bool
    exclusive_maximum: bool
    whole: bool

    def admits(self, value: float) -> bool:
        """Tell whether the field itself takes a value."""
        above = value > self.minimum or (value == self.minimum and not self.exclusive_minimum)
        return above and (value < self.maximum or (value == self.maximum and not self.exclusive_maximum))


@cache
def _numeric_fields(model: type[BaseModel]) -> dict[str, Quantity | Whole]:
    """Return the single numbers of a model with what they may be."""
    found: dict[str, Quantity | Whole] = {}
    for name, field in model.model_fields.items():
        mark = _mark(field)
        if mark is not None and name not in _NOT_A_SIZE:
            found[name] = mark
    return found


def _mark(field: FieldInfo) -> Quantity | Whole | None:
    if get_origin(field.annotation) is tuple:
        return None
    marks = [*field.metadata]
    for part in get_args(field.annotation):
        marks += getattr(part, "__metadata__", ())
    return next((mark for mark in marks if isinstance(mark, Quantity | Whole)), None)


def numeric_inputs(machine: MachineDescription) -> Iterator[tuple[NumericInput, float | None]]:
    """Yield every numeric input of a description with its value, None where it is not told.

    Inputs of a part that was not described at all (a driver, a notch) are left out.
    """
    yield from _inputs(machine, "")


def _inputs(model: BaseModel, prefix: str) -> Iterator[tuple[NumericInput, float | None]]:
    numbers = _numeric_fields(type(model))
    for name in type(model).model_fields:
        value = getattr(model, name)
        if name in numbers:
            yield _numeric_input(f"{prefix}{name}", numbers[name]), value
        elif isinstance(value, BaseModel):
            yield from _inputs(value, f"{prefix}{name}.")
        elif isinstance(value, tuple):
            for index, item in enumerate(value):
                if isinstance(item, BaseModel):
                    yield from _inputs(item, f"{prefix}{name}[{index}].")
        elif isinstance(value, Mapping):
            for key, item in value.items():
                if isinstance(item, BaseModel):
                    yield from _inputs(item, f"{prefix}{name}.{key}.")


def _numeric_input(path: str, mark: Quantity | Whole) -> NumericInput:
    if isinstance(mark, Whole):
        return NumericInput(path, "", mark.minimum, mark.maximum, False, False, True)
    low = float("-inf") if mark.minimum is None else mark.minimum
    high = float("inf") if mark.maximum is None else mark.maximum
    unit = "" if mark.unit == "1" else mark.unit
    return NumericInput(path, unit, low, high, mark.exclusive_minimum, mark.exclusive_maximum, False)


def with_value(machine: MachineDescription, path: str, value: Any) -> MachineDescription:
    """Return a description with another value at a path; nothing is checked again."""
    changed: MachineDescription = _with(machine, _PARTS.findall(path), value)
    return changed


def _with(owner: Any, parts: list[str], value: Any) -> Any:
    if not parts:
        # A search moves every number as a float; a field that counts keeps counting in whole numbers.
        return int(value) if type(owner) is int and float(value).is_integer() else value
    if isinstance(owner, tuple):
        index = int(parts[0])
        return (*owner[:index], _with(owner[index], parts[1:], value), *owner[index + 1 :])
    if isinstance(owner, Mapping):
        return Table({**owner, parts[0]: _with(owner[parts[0]], parts[1:], value)})
    return owner.model_copy(update={parts[0]: _with(getattr(owner, parts[0]), parts[1:], value)})
