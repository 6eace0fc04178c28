"""The tables inside descriptions as sheets of their own, and in words what a file of machines leaves out."""

from collections.abc import Mapping, Sequence
from typing import Any

from specapp.documents.cells import Cell
from specapp.documents.schedules import Schedule
from specapp.domain.machine import Source
from specapp.domain.problems import TABLES

_SOURCE = tuple(Source.model_fields)
# What people decide about a machine and what was issued are no part of its description.
BESIDE = "Overrides, setpoint values, comments and revisions are no part of a description"
_MOST_TAGS = 12


def text_of(value: Any) -> Cell:
    """Return a value of a description as a cell; a quantity with its unit."""
    if isinstance(value, Mapping):
        return f"{value.get('value')} {value.get('unit', '')}".strip()
    return value if isinstance(value, bool | int | float | str) else str(value)


def _told(descriptions: Sequence[Mapping[str, Any]], name: str) -> list[tuple[str, str, Any]]:
    """Return (tag, key, row) of one of the tables of every machine."""
    return [
        (str(description.get("tag")), str(key), row)
        for description in descriptions
        for key, row in (description.get(name) or {}).items()
    ]


def table_sheets(descriptions: Sequence[Mapping[str, Any]]) -> list[Schedule]:
    """Return devices, sources and criteria of all machines, as far as any machine tells some."""
    devices = [
        (tag, device, field, text_of(value))
        for tag, device, row in _told(descriptions, "devices")
        for field, value in row.items()
    ]
    sources = [
        (tag, field, *(text_of(row[part]) if part in row else None for part in _SOURCE))
        for tag, field, row in _told(descriptions, "sources")
    ]
    criteria = [
        (tag, key, text_of(row.get("value")), str(row.get("reason") or ""))
        for tag, key, row in _told(descriptions, "criteria")
    ]
    sheets = (
        Schedule("devices", ("tag", "device", "field", "value"), devices),
        Schedule("sources", ("tag", "field", *_SOURCE), sources),
        Schedule("criteria", ("tag", "criterion", "value", "reason"), criteria),
    )
    return [sheet for sheet in sheets if sheet.rows]


def left_out(descriptions: Sequence[Mapping[str, Any]]) -> list[str]:
    """Return a sentence for each table of the descriptions that has no columns in a list of machines."""
    told = []
    for name in TABLES:
        tags = [str(description.get("tag")) for description in descriptions if description.get(name)]
        if tags:
            more = f" and {len(tags) - _MOST_TAGS} more" if len(tags) > _MOST_TAGS else ""
            told.append(f"{name} of {', '.join(tags[:_MOST_TAGS])}{more}")
    return told


def csv_note(descriptions: Sequence[Mapping[str, Any]]) -> str:
    """Return the line that a CSV file begins with where it leaves something out; no import reads it."""
    told = left_out(descriptions)
    return f"# Not in this file: {'; '.join(told)}. The JSON file has them. {BESIDE}." if told else ""


def workbook_notes(descriptions: Sequence[Mapping[str, Any]]) -> Schedule:
    """Return the sheet that tells what the workbook does not carry, and what no import reads back."""
    rows: list[tuple[Cell, ...]] = [
        (f"Sheet {sheet.name}", "Carried to be read; bringing this list passes over it.")
        for sheet in table_sheets(descriptions)
    ]
    rows.append(("Not in this workbook", f"{BESIDE}. The JSON file has every description whole."))
    return Schedule("not carried", ("What", "Told"), rows)
