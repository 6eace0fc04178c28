"""Plain fields of bids/1: numbers in a range, currencies, dates, what a bidder says about an item."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any, Final, Literal

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import CoreSchema, core_schema

from specapp.domain.scalars import problem

INCLUDED: Final = "included"
BY_OTHERS: Final = "by others"
ItemAnswer = float | Literal["included", "by others"]

_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)


def is_currency(text: str) -> bool:
    """Tell whether a text has the form of a currency code of ISO 4217."""
    return _CURRENCY.fullmatch(text) is not None


@dataclass(frozen=True, slots=True)
class Number:
    """A finite number in a range; a text or a boolean is no number."""

    minimum: float
    maximum: float
    above: bool = False  # the minimum itself is not allowed

    @property
    def range_text(self) -> str:
        low, high = _written(self.minimum), _written(self.maximum)
        return f"a number above {low}, up to {high}" if self.above else f"a number from {low} to {high}"

    def read(self, raw: object) -> float:
        if isinstance(raw, str):
            raise problem(self.range_text, "written without quotation marks")
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise problem(self.range_text)
        if not self.minimum <= raw <= self.maximum or (self.above and raw == self.minimum):
            raise problem(self.range_text)
        return float(raw)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        lowest = "exclusiveMinimum" if self.above else "minimum"
        return {"type": "number", lowest: self.minimum, "maximum": self.maximum}


def _written(number: float) -> str:
    return f"{number:g}" if abs(number) < 1 else f"{number:,.0f}"


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency by its code of ISO 4217."""

    range_text = "a currency as three capital letters, like USD"

    def read(self, raw: object) -> str:
        if not isinstance(raw, str) or not is_currency(raw):
            raise problem(self.range_text)
        return raw

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{_CURRENCY.pattern}$", "description": self.range_text}


@dataclass(frozen=True, slots=True)
class CalendarDate:
    """A day, kept as it is written."""

    range_text = "a date like 2026-10-01"

    def read(self, raw: object) -> str:
        if not isinstance(raw, str) or not _DATE.fullmatch(raw):
            raise problem(self.range_text)
        try:
            date.fromisoformat(raw)
        except ValueError:
            raise problem(self.range_text, "no calendar has this day") from None
        return raw

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"type": "string", "format": "date"}


@dataclass(frozen=True, slots=True)
class Item:
    """What a bidder says about an item: a price, or that another price or another party covers it."""

    price: Number

    @property
    def range_text(self) -> str:
        return f'{self.price.range_text}, "{INCLUDED}", "{BY_OTHERS}" or null for not quoted'

    def read(self, raw: object) -> ItemAnswer:
        if raw == INCLUDED:
            return INCLUDED
        if raw == BY_OTHERS:
            return BY_OTHERS
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise problem(self.range_text)
        if not self.price.minimum <= raw <= self.price.maximum:
            raise problem(self.range_text)
        return float(raw)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        price = {"type": "number", "minimum": self.price.minimum, "maximum": self.price.maximum}
        return {"anyOf": [price, {"enum": [INCLUDED, BY_OTHERS]}, {"type": "null"}]}
