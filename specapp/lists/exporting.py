"""Machines as files: a table as the import reads it back, the template for one, descriptions as JSON."""

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from specapp.documents.cells import Cell
from specapp.documents.csv_files import csv_bytes
from specapp.documents.plain_workbook import plain_workbook
from specapp.documents.schedules import Schedule
from specapp.domain.machine_columns import Column, columns
from specapp.domain.machine_workbook import SHEET
from specapp.lists.tables_beside import csv_note, table_sheets, text_of, workbook_notes

# What a list of machines mostly tells; any other field is a column too, under its path.
TEMPLATE_PATHS = (
    "tag",
    "title",
    "service",
    "service_class",
    "stage_count",
    "hazardous_area",
    "bull_gear.speed",
    "pinions[0].speed",
    "pinions[0].stages",
    "pinions[1].speed",
    "pinions[1].stages",
    "pinions[2].speed",
    "pinions[2].stages",
    "driver.kind",
    "driver.power",
)


def machine_table(descriptions: Sequence[Mapping[str, Any]]) -> Schedule:
    """Return machines as a table of the fields that any of them tells, the tag first, quantities as entered.

    Devices, sources and criteria are tables of their own inside a description (`tables_beside`).
    """
    cells = [_cells(description) for description in descriptions]
    paths = sorted(columns(), key=lambda path: path != "tag")
    used = [path for path in paths if any(path in row for row in cells)]
    rows = [tuple(row.get(path) for path in used) for row in cells]
    return Schedule(SHEET, tuple(used), rows)


def _cells(description: Mapping[str, Any]) -> dict[str, Cell]:
    found = {}
    for path, column in columns().items():
        value = _told(description, path)
        if value is not None and not (path == "hazardous_area" and isinstance(value, Mapping)):
            found[path] = _cell(value, column)
    return found


def _told(description: Mapping[str, Any], path: str) -> Any:
    here: Any = description
    for part in path.split("."):
        name, _, index = part.partition("[")
        if not isinstance(here, Mapping) or name not in here:
            return None
        here = here[name]
        if index:
            number = int(index.rstrip("]"))
            if not isinstance(here, list | tuple) or number >= len(here):
                return None
            here = here[number]
    return here


def _cell(value: Any, column: Column) -> Cell:
    if isinstance(value, list | tuple):
        return ("; " if column.form == "name_list" else ", ").join(map(str, value))
    return text_of(value)


def table_csv(descriptions: Sequence[Mapping[str, Any]]) -> bytes:
    """Return the table as CSV; its first line tells what is left out, if anything is."""
    return csv_bytes(machine_table(descriptions), note=csv_note(descriptions))


def table_workbook(descriptions: Sequence[Mapping[str, Any]]) -> bytes:
    """Return the table as a workbook; further sheets have the tables inside and tell what is missing."""
    sheets = [machine_table(descriptions), *table_sheets(descriptions), workbook_notes(descriptions)]
    return plain_workbook(sheets)


def template_workbook() -> bytes:
    """Return an empty list to fill in, with a second sheet that names every field, unit and allowed value."""
    rows: list[tuple[Cell, ...]] = [
        (column.path, column.form.replace("_", " "), column.quantity.units_text if column.quantity else "")
        for column in columns().values()
        if "[" not in column.path or "[0]" in column.path
    ]
    rows += [(), ("A unit in round brackets after a path is the unit of its column.",)]
    fields = Schedule("fields", ("Field", "Written as", "Units"), rows)
    return plain_workbook([Schedule(SHEET, TEMPLATE_PATHS, []), fields])


def table_json(descriptions: Iterable[Mapping[str, Any]]) -> bytes:
    """Return the descriptions as they were entered, as a JSON list."""
    return (json.dumps(list(descriptions), ensure_ascii=False, indent=2) + "\n").encode()
