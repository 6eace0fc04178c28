"""Plain fields of a description: whole numbers, texts, conductor sizes, and tables by key."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from specapp.kernel.loops import conductor_sizes

T = TypeVar("T")

_BAD_CATEGORIES = frozenset({"Cc", "Cs", "Zl", "Zp", "Cn"})
_DIRECTION_MARKS = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def problem(allowed: str, message: str = "") -> PydanticCustomError:
    """Return the error by which a field's validator says what is allowed there."""
    return PydanticCustomError("problem", "not allowed", {"allowed": allowed, "message": message})


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number in a range; 3.0 is 3, but a text or a boolean is no number."""

    minimum: int
    maximum: int

    @property
    def range_text(self) -> str:
        return f"a whole number from {self.minimum} to {self.maximum}"

    def read(self, raw: object) -> int:
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise problem(self.range_text)
        if not self.minimum <= raw <= self.maximum or raw != int(raw):
            raise problem(self.range_text)
        return int(raw)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "integer", "minimum": self.minimum, "maximum": self.maximum}


def bad_character(text: str) -> str | None:
    """Return the first character no printed line can hold: a control, half a pair, a direction mark."""
    if text.isascii() and text.isprintable():
        return None
    for char in text:
        if char in _DIRECTION_MARKS or unicodedata.category(char) in _BAD_CATEGORIES:
            return char
    return None


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; outer spaces are dropped."""

    maximum: int
    minimum: int = 0
    pattern: str = ""
    allowed: str = ""  # words for the pattern

    @property
    def range_text(self) -> str:
        return self.allowed or f"one line of {self.minimum} to {self.maximum} characters"

    def read(self, raw: object) -> str:
        if not isinstance(raw, str):
            raise problem(f"a text: {self.range_text}")
        if len(raw) > self.maximum * 4:
            raise problem(self.range_text)
        text = raw.strip()
        bad = bad_character(text)
        if bad is not None:
            raise problem(self.range_text, f"the character U+{ord(bad):04X} cannot be printed")
        if not self.minimum <= len(text) <= self.maximum:
            raise problem(self.range_text)
        if self.pattern and not re.fullmatch(self.pattern, text):
            raise problem(self.range_text)
        return text

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        written: dict[str, Any] = {"type": "string", "maxLength": self.maximum}
        if self.minimum:
            written["minLength"] = self.minimum
        if self.pattern:
            written["pattern"] = f"^(?:{self.pattern})$"
        if self.allowed:
            written["description"] = self.allowed
        return written


_AREA = re.compile(r"(\d{1,2}(?:\.\d{1,3})?)\s*(?:mm2|mm\^2|mm²|sq\.? ?mm)?", re.ASCII | re.IGNORECASE)
_GAUGE = re.compile(r"AWG\s*(\d{1,2})|(\d{1,2})\s*AWG", re.ASCII | re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Conductor:
    """The size of a cable core, written as `kernel.loops` names it: "0.75 mm2" or "AWG 18"."""

    @property
    def range_text(self) -> str:
        return ", ".join(conductor_sizes())

    def read(self, raw: object) -> str:
        size = ""
        if isinstance(raw, str) and len(raw) <= 20:
            text = raw.strip()
            if area := _AREA.fullmatch(text):
                size = f"{float(area[1]):g} mm2"
            elif gauge := _GAUGE.fullmatch(text):
                size = f"AWG {int(gauge[1] or gauge[2])}"
        elif isinstance(raw, int | float) and not isinstance(raw, bool) and 0 < raw < 100:
            size = f"{raw:g} mm2"
        if size not in conductor_sizes():
            raise problem(self.range_text)
        return size

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        choices = [{"type": "number", "exclusiveMinimum": 0}, {"type": "string", "minLength": 1}]
        return {"anyOf": choices, "description": f"{self.range_text}; a bare number is in mm2"}


@dataclass(frozen=True, slots=True)
class PlainValue:
    """A finite number or a short text; which of them, and its range, the criterion decides."""

    @property
    def range_text(self) -> str:
        return "a number, or a text where the criterion takes one"

    def read(self, raw: object) -> float | str:
        if isinstance(raw, str):
            return Text(80, 1).read(raw)
        if isinstance(raw, bool) or not isinstance(raw, int | float) or not abs(raw) < 1e300:
            raise problem(self.range_text)
        return float(raw)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": ["number", "string"]}


class Table(Mapping[str, T]):
    """An immutable mapping that keeps the order of its keys and can be hashed."""

    __slots__ = ("_rows",)

    def __init__(self, rows: Mapping[str, T] | None = None) -> None:
        self._rows: dict[str, T] = dict(rows or {})

    def __getitem__(self, key: str) -> T:
        return self._rows[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._rows)

    def __len__(self) -> int:
        return len(self._rows)

    def __hash__(self) -> int:
        return hash(frozenset(self._rows.items()))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Mapping) and self._rows == dict(other)

    def __repr__(self) -> str:
        return f"Table({self._rows!r})"
