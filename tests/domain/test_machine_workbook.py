"""Workbook lists as bytes: what is read of an honest file, and what becomes of a hostile one."""

from datetime import date
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from openpyxl import Workbook

from specapp.domain.machine_table import MOST_COLUMNS, MOST_ROWS, Refused
from specapp.domain.machine_workbook import LARGEST_BYTES, LARGEST_UNPACKED_BYTES, read_workbook
from specapp.domain.problems import InputErrors


def workbook(*rows, title="Sheet", more=()):
    book = Workbook()
    book.active.title = title
    for row in rows:
        book.active.append(row)
    for name, cells in more:
        book.create_sheet(name).append(cells)
    stream = BytesIO()
    book.save(stream)
    return stream.getvalue()


def changed(data, member, change):
    """Return a workbook with one of its parts rewritten."""
    stream = BytesIO()
    with ZipFile(BytesIO(data)) as old, ZipFile(stream, "w", ZIP_DEFLATED) as new:
        for name in old.namelist():
            content = old.read(name)
            new.writestr(name, change(content) if name == member else content)
    return stream.getvalue()


def refused(data):
    with pytest.raises(InputErrors) as caught:
        list(read_workbook(data))
    (problem,) = caught.value.problems
    assert problem.path == "document"
    return problem.found


def test_texts_numbers_and_truths_keep_their_types():
    rows = list(read_workbook(workbook(["tag", "a", "b"], ["K-1", 3, True], [None, 1.5, None])))
    assert rows == [["tag", "a", "b"], ["K-1", 3, True], [None, 1.5]]


def test_the_sheet_named_machines_is_read_else_the_first():
    assert next(read_workbook(workbook(["first"], more=[("Machines", ["second"])]))) == ["second"]
    assert next(read_workbook(workbook(["first"], more=[("notes", ["second"])]))) == ["first"]


@pytest.mark.parametrize("cell", ["=1+1", '=HYPERLINK("a")', date(2026, 3, 31), "#DIV/0!"])
def test_formulas_dates_and_errors_are_refused_in_their_cells(cell):
    ((found, _),) = read_workbook(workbook([cell, "x"]))
    assert isinstance(found, Refused)


def test_a_file_that_is_no_workbook_is_refused():
    for data in (b"", b"tag,stage_count\n", b"PK\x03\x04" + b"\0" * 40):
        assert "cannot be read as a workbook" in refused(data)
    stream = BytesIO()
    with ZipFile(stream, "w") as archive:
        archive.writestr("hello.txt", "hello")
    assert "cannot be read as a workbook" in refused(stream.getvalue())


def test_a_broken_sheet_is_refused():
    data = changed(workbook(["tag"]), "xl/worksheets/sheet1.xml", lambda xml: xml[: len(xml) // 2])
    assert "cannot be read as a workbook" in refused(data)


def test_entities_are_refused():
    bomb = b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">]><worksheet>&a;</worksheet>'
    data = changed(workbook(["tag"]), "xl/worksheets/sheet1.xml", lambda xml: bomb)
    assert "cannot be read as a workbook" in refused(data)


def test_a_file_too_large_or_too_large_when_unpacked_is_refused_before_it_is_parsed():
    assert "bytes" in refused(b"x" * (LARGEST_BYTES + 1))
    padded = changed(
        workbook(["tag"]), "xl/worksheets/sheet1.xml", lambda xml: xml + b" " * LARGEST_UNPACKED_BYTES
    )
    assert len(padded) < LARGEST_BYTES
    assert "when unpacked" in refused(padded)


def test_a_cell_at_the_far_corner_is_refused_without_filling_the_sheet():
    def far(xml):
        cell = b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>'
        return xml.replace(b"</sheetData>", cell)

    data = changed(workbook(["tag"]), "xl/worksheets/sheet1.xml", far)
    assert "rows" in refused(data)


def test_width_and_length_are_limited():
    assert len(next(read_workbook(workbook(["x"] * MOST_COLUMNS)))) == MOST_COLUMNS
    assert "columns" in refused(workbook(["x"] * (MOST_COLUMNS + 1)))
    assert "rows" in refused(workbook(*[["x"]] * (2 * MOST_ROWS + 1)))
