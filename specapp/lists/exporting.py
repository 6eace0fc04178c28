"""Machines as files: a table as the import reads it back, the template for one, descriptions as JSON."""

import json
from collections.abc import Iterable, Mapping, Sequence
from io import BytesIO
from typing import Any

import xlsxwriter

from specapp.documents.cells import Cell, workbook_text
from specapp.documents.csv_files import csv_bytes
from specapp.documents.schedules import Schedule
from specapp.domain.machine_columns import Column, columns
from specapp.domain.machine_workbook import SHEET

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
    """Return machines as a table of the fields that any of them tells, quantities as they were entered.

    Devices, sources and criteria are tables of their own inside a description; the JSON file has them.
    """
    cells = [_cells(description) for description in descriptions]
    used = [path for path in columns() if any(path in row for row in cells)]
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
    if isinstance(value, bool):
        return value
    if isinstance(value, list | tuple):
        return ("; " if column.form == "name_list" else ", ").join(map(str, value))
    if isinstance(value, Mapping):
        return f"{value.get('value')} {value.get('unit', '')}".strip()
    return value if isinstance(value, int | float | str) else str(value)


def table_csv(descriptions: Sequence[Mapping[str, Any]]) -> bytes:
    return csv_bytes(machine_table(descriptions))


def table_workbook(descriptions: Sequence[Mapping[str, Any]]) -> bytes:
    table = machine_table(descriptions)
    return _workbook(table.headings, table.rows, ())


def template_workbook() -> bytes:
    """Return an empty list to fill in, with a second sheet that names every field, unit and allowed value."""
    notes = [
        (column.path, column.form.replace("_", " "), column.quantity.units_text if column.quantity else "")
        for column in columns().values()
        if "[" not in column.path or "[0]" in column.path
    ]
    return _workbook(TEMPLATE_PATHS, [], notes)


def table_json(descriptions: Iterable[Mapping[str, Any]]) -> bytes:
    """Return the descriptions as they were entered, as a JSON list."""
    return (json.dumps(list(descriptions), ensure_ascii=False, indent=2) + "\n").encode()


def _workbook(
    heads: Sequence[str], rows: Sequence[Sequence[Cell]], notes: Sequence[tuple[str, str, str]]
) -> bytes:
    out = BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(out, options)
    bold = book.add_format({"bold": True, "bottom": 2})
    sheet = book.add_worksheet(SHEET)
    sheet.freeze_panes(1, 1)
    for index, head in enumerate(heads):
        sheet.write_string(0, index, head, bold)
        sheet.set_column(index, index, max(12, len(head) + 2))
    for number, row in enumerate(rows, 1):
        for index, cell in enumerate(row):
            if isinstance(cell, str):
                sheet.write_string(number, index, workbook_text(cell))
            elif cell is not None:
                sheet.write(number, index, cell)
    if notes:
        fields = book.add_worksheet("fields")
        fields.set_column(0, 0, 50)
        fields.set_column(1, 2, 40)
        for index, head in enumerate(("Field", "Written as", "Units")):
            fields.write_string(0, index, head, bold)
        for number, note in enumerate(notes, 1):
            for index, text in enumerate(note):
                fields.write_string(number, index, text)
        fields.write_string(
            len(notes) + 2, 0, "A unit in round brackets after a path is the unit of its column."
        )
    book.close()
    return out.getvalue()
