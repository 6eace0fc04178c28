"""Cells read in one pass are those that the spreadsheet library reads; what no program writes is refused."""

from datetime import date, time
from io import BytesIO
from xml.parsers.expat import ExpatError

import pytest
import xlsxwriter
from openpyxl import Workbook, load_workbook

from specapp.evaluation.sheet_cells import read_cells
from tests.factories import NOW

MOST = 40
WRITTEN = (
    ("text", "  spaced  ", "Ω & <b>", "line\nline"),
    (1, -2.5, 1e-9, 10**15),
    (True, False, None, "true"),
    (date(2026, 3, 2), NOW.replace(tzinfo=None), time(9, 30), "2026-03-02"),
)


def _by_the_writer():
    """A workbook as office programs save it: texts shared, one of them in runs."""
    out = BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet, moment = book.add_worksheet(), book.add_format({"num_format": "yyyy-mm-dd hh:mm"})
    for row, values in enumerate(WRITTEN, start=2):
        for column, value in enumerate(values):
            if isinstance(value, date | time):
                sheet.write_datetime(row, column, value, moment)
            else:
                sheet.write(row, column, value)
    sheet.write_rich_string(0, 6, "a", book.add_format({"bold": True}), "b", "c")
    book.close()
    return out.getvalue()


def _by_the_library():
    """A workbook whose texts stand in their cells."""
    book = Workbook()
    for row, values in enumerate(WRITTEN, start=2):
        for column, value in enumerate(values, start=1):
            book.active.cell(row, column).value = value
    book.active["F9"] = "#N/A"
    out = BytesIO()
    book.save(out)
    return out.getvalue()


@pytest.mark.parametrize("data", [_by_the_writer(), _by_the_library()], ids=["shared", "in cells"])
def test_values_are_those_of_the_spreadsheet_library(data):
    book = load_workbook(BytesIO(data), read_only=True)
    sheet = book.worksheets[0]
    expected = {
        (row, column): value
        for row, values in enumerate(sheet.iter_rows(values_only=True), start=1)
        for column, value in enumerate(values, start=1)
        if value is not None
    }
    dates = frozenset(book._date_formats) | frozenset(book._timedelta_formats)
    with book._archive.open(sheet._worksheet_path) as part:
        given = read_cells(part, sheet._shared_strings, dates, MOST)
    found = {
        (row, column): value
        for row, values in given.rows.items()
        for column, value in values.items()
        if value is not None
    }
    assert found == expected
    assert len(found) == 16
    assert (given.merged, given.rows_beyond) == ([], None)


def _read(rows, after="", before=""):
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    text = f'{before}<worksheet xmlns="{main}"><sheetData>{rows}</sheetData>{after}</worksheet>'
    return read_cells(BytesIO(text.encode()), ["shared"], frozenset(), MOST)


def test_formulas_are_told_as_formulas_whatever_is_stored_beside_them():
    cells = '<c r="A1"><f>1+1</f><v>2</v></c><c r="B1"><f t="shared" si="0"/><v>9</v></c>'
    cells += '<c r="D1" t="s"><v>0</v></c>'
    assert _read(f'<row r="1">{cells}</row>').rows == {1: {1: "=1+1", 2: "=", 4: "shared"}}
    assert _read("<row><c><v>1</v></c><c><v>2</v></c></row><row/>").rows == {1: {1: 1, 2: 2}, 2: {}}


def test_rows_are_read_up_to_the_most():
    assert _read(f'<row r="{MOST}"/>').rows_beyond is None
    assert _read(f'<row r="{MOST + 1}"/>').rows_beyond == MOST + 1
    assert _read("<row/>" * (MOST + 1)).rows_beyond == MOST + 1


def test_merged_ranges_are_told_and_spelled_by_the_sheet_only():
    assert _read("", '<mergeCells><mergeCell ref="A1:B2"/></mergeCells>').merged == ["A1:B2"]
    with pytest.raises(ValueError, match="merged"):
        _read("", '<mergeCells><mergeCell ref="&lt;b&gt;"/></mergeCells>')


@pytest.mark.parametrize(
    "rows",
    [
        '<row r="2"/><row r="1"/>',
        '<row r="2"/><row r="2"/>',
        '<row r="1"><c r="A2"><v>1</v></c></row>',
        '<row r="1"><c r="B1"><v>1</v></c><c r="A1"><v>1</v></c></row>',
        '<row r="1"><c r="A1"><v>1</v></c><c r="A1"><v>1</v></c></row>',
        '<row r="1"><c r="ABCD1"><v>1</v></c></row>',
        '<row r="1"><c r="A1"><v>one</v></c></row>',
        '<row r="one"/>',
    ],
)
def test_what_no_program_writes_is_refused(rows):
    with pytest.raises(ValueError):  # noqa: PT011  any of them: the file is told as unreadable
        _read(rows)


def test_a_document_type_and_broken_xml_are_refused():
    with pytest.raises(ValueError, match="document type"):
        _read("", before='<!DOCTYPE x [<!ENTITY a "b">]>')
    with pytest.raises(ExpatError):
        _read("<row>")
