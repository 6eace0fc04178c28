"""Quantities as engineers type them: a number with a unit, or a bare number in a field's default unit.

Reading ends in a plain float in the default unit, rounded to ten significant digits so that one machine
described in SI and in US units gives identical numbers. `specapp.domain.display` writes them again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from math import isfinite
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from specapp.domain.display import (  # the names other packages use for writing quantities
    format_quantity,
    number_text,
    typed_number,
)
from specapp.kernel.units import KINDS, UNITS, conversion, convert, kinds_named, unit_named

__all__ = [
    "Quantity",
    "QuantityError",
    "canonical",
    "convert",
    "format_quantity",
    "number_text",
    "parse_quantity",
]

_LONGEST = 80
_GROUP_SPACES = " \u00a0\u2009\u202f"
_PLAIN = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*)", re.ASCII | re.DOTALL)
_GROUPED = re.compile(
    rf"([+-]?[1-9]\d{{0,2}}(?:(?:,\d{{3}})+|(?:[{_GROUP_SPACES}]\d{{3}})+)(?:\.\d+)?)(?![\d.,])\s*(.*)",
    re.ASCII | re.DOTALL,
)
_WITH_COMMA = re.compile(r"([+-]?[\d.]*,[\d.,]*)\s*(.*)", re.ASCII | re.DOTALL)
_WORDS_NO_NUMBER = re.compile(r"[+-]?(?:nan|inf|infinity)\b", re.IGNORECASE)


class QuantityError(ValueError):
    """A text or number that is not the quantity asked for; `message` says why in one phrase."""

    def __init__(self, message: str, *, wrong_unit: bool = False) -> None:
        super().__init__(message)
        self.message = message
        self.wrong_unit = wrong_unit


def canonical(value: float) -> float:
    """Return a value rounded to the ten significant digits that descriptions keep."""
    return float(f"{value:.10g}") + 0.0  # and no negative zero


def parse_quantity(raw: object, kind: str, unit: str) -> float:
    """Return a quantity in `unit`, rounded to ten significant digits.

    A bare number, or a text without a unit, is in `unit` already. In a speed a comma before exactly
    three digits marks thousands; elsewhere a single comma group could as well be decimals and is
    refused, with both readings, unless a decimal point or a second group settles it. Groups of three
    digits may also be set apart by a space.

    Raises `QuantityError` for anything that is not one finite number with a unit of the kind.
    """
    if isinstance(raw, str):
        return _parse_text(raw, kind, unit)
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        raise QuantityError("a number or a text with a number and a unit is needed")
    try:
        value = float(raw)
    except OverflowError:
        value = float("inf")
    if not isfinite(value):
        raise QuantityError("not a finite number")
    return canonical(value)


@lru_cache(maxsize=8192)  # machines of one list, and one form read again at every change, repeat themselves
def _parse_text(raw: str, kind: str, unit: str) -> float:
    if len(raw) > _LONGEST:
        raise QuantityError(f"longer than {_LONGEST} characters")
    text = raw.strip().replace("\u2212", "-")
    plain = _PLAIN.fullmatch(text)
    if plain:
        found_unit = unit_named(plain[2], kind) if plain[2] else unit
        if found_unit is not None:
            return _in_unit(plain[1], found_unit, unit)
    grouped = _GROUPED.fullmatch(text)
    if grouped:
        number, unit_text = grouped[1], grouped[2]
        found_unit = _unit_or_error(unit_text, kind) if unit_text else unit
        if "," in number and number.count(",") == 1 and "." not in number and kind != "speed":
            raise _two_readings(number, unit_text)
        return _in_unit(re.sub(rf"[,{_GROUP_SPACES}]", "", number), found_unit, unit)
    with_comma = _WITH_COMMA.fullmatch(text)
    if with_comma and any(char.isdigit() for char in with_comma[1]):
        raise _two_readings(with_comma[1], with_comma[2])
    if plain and not plain[2][0].isdigit() and plain[2][0] not in ".+-/":
        _unit_or_error(plain[2], kind)
    if _WORDS_NO_NUMBER.match(text):
        raise QuantityError("not a finite number")
    raise QuantityError("not one number with a unit")


def _in_unit(number: str, found_unit: str, unit: str) -> float:
    value = float(number)
    if not isfinite(value):
        raise QuantityError("not a finite number")
    if found_unit != unit:
        factor, offset = conversion(found_unit, unit)
        value = value * factor + offset
        if offset:
            value = round(value, 9)  # 32 degF is 0 degC, not 1e-14
    return canonical(value)


def _unit_or_error(unit_text: str, kind: str) -> str:
    found = unit_named(unit_text, kind)
    if found is not None:
        return found
    other = kinds_named(unit_text)
    if other:
        raise QuantityError(f"that is {other[0].label}", wrong_unit=True)
    raise QuantityError("no such unit here", wrong_unit=True)


def _two_readings(number: str, unit_text: str) -> QuantityError:
    unit = f" {unit_text.strip()}" if unit_text.strip() else ""
    sign = number[0] if number[0] in "+-" else ""
    digits = number.lstrip("+-")
    if digits.count(",") == 1 and "." not in digits:
        whole, decimals = digits.split(",")
        joined = (whole + decimals).lstrip("0") or "0"
        readings = f'"{sign}{whole or 0}.{decimals or 0}{unit}" or "{sign}{joined}{unit}"'
    else:
        last = max(digits.rfind(","), digits.rfind("."))
        whole = re.sub(r"[.,]", "", digits[:last]) or "0"
        decimals = digits[last + 1 :] or "0"
        readings = f'"{sign}{whole}.{decimals}{unit}" or "{sign}{whole}{decimals}{unit}"'
    return QuantityError(f"the comma can be read in two ways: write {readings}")


@dataclass(frozen=True, slots=True)
class Quantity:
    """What one quantity field takes; stands in `Annotated[float, Quantity(...)]`.

    The models, the JSON Schema, the browser form and the spreadsheet template all read it from there.
    Limits are in `unit`, the field's default unit, and inclusive unless marked exclusive.
    """

    kind: str
    unit: str
    minimum: float | None = None
    maximum: float | None = None
    exclusive_minimum: bool = False
    exclusive_maximum: bool = False
    example: str = ""
    us_unit: str = ""  # the unit a US reader expects where the usual one would mislead

    def read(self, raw: object) -> float:
        """Return the value in the default unit; raise `QuantityError` for anything else."""
        value = parse_quantity(raw, self.kind, self.unit)
        low, high = self.minimum, self.maximum
        if low is not None and (value < low or (self.exclusive_minimum and value == low)):
            raise QuantityError("")
        if high is not None and (value > high or (self.exclusive_maximum and value == high)):
            raise QuantityError("")
        return value

    @property
    def range_text(self) -> str:
        """Return the range in words, in the default unit as it may be typed."""
        unit = {"rpm": " r/min", "1": ""}.get(self.unit, f" {self.unit}")
        low = None if self.minimum is None else typed_number(self.minimum)
        high = None if self.maximum is None else typed_number(self.maximum)
        if low is not None and self.exclusive_minimum:
            low = f"above {low}"
        if high is not None and self.exclusive_maximum:
            high = f"below {high}"
        if low is None and high is None:
            return f"any number{unit}"
        if high is None:
            return f"{low}{unit}" if self.exclusive_minimum else f"{low}{unit} or more"
        if low is None:
            return f"{high}{unit}" if self.exclusive_maximum else f"{high}{unit} or less"
        return f"{low} to {high}{unit}"

    @property
    def units_text(self) -> str:
        """Return the units that may be typed, as a list in words."""
        names = ["r/min" if name == "rpm" else name for name in KINDS[self.kind].units]
        if self.kind == "speed":
            names.insert(0, "rpm")
        if not names:
            return ""
        return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"

    def allowed_text(self, error: QuantityError) -> str:
        """Return what is allowed, with the units spelled out where the unit is what is wrong."""
        if not error.wrong_unit:
            return self.range_text
        units = self.units_text
        kind = KINDS[self.kind].label
        return (
            f"{kind} in {units}, {self.range_text}" if units else f"{kind} without a unit, {self.range_text}"
        )

    @property
    def label(self) -> str:
        """Return the symbol of the default unit as printed beside a form field."""
        return UNITS[self.unit].symbol if self.unit in UNITS else ""

    def _validated(self, raw: object) -> float:
        try:
            return self.read(raw)
        except QuantityError as error:
            raise PydanticCustomError(
                "problem", "not allowed", {"allowed": self.allowed_text(error), "message": error.message}
            ) from None

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self._validated)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        number: dict[str, Any] = {"type": "number"}
        if self.minimum is not None:
            number["exclusiveMinimum" if self.exclusive_minimum else "minimum"] = self.minimum
        if self.maximum is not None:
            number["exclusiveMaximum" if self.exclusive_maximum else "maximum"] = self.maximum
        if not KINDS[self.kind].units:
            return {**number, "description": self.range_text}
        text = f"{KINDS[self.kind].label.capitalize()}, {self.range_text}; a bare number is in {self.unit}"
        example = f'; for example "{self.example}"' if self.example else ""
        choices = [number, {"type": "string", "minLength": 1, "maxLength": _LONGEST, "pattern": "[0-9]"}]
        return {"anyOf": choices, "description": f"{text}{example}. Units: {self.units_text}."}
