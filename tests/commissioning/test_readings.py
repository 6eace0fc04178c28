"""Readings of a loop curve, typed or from a file: problems name their place, hostile files are refused."""

from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from openpyxl import Workbook

from specapp.commissioning.readings import readings_of_file, readings_of_text
from specapp.domain.problems import InputErrors

HAND = [(0.25, -2.0), (0.5, -3.96), (0.75, -5.94), (1.0, -7.91), (1.25, -9.87), (1.5, -11.85)]


def workbook(rows):
    book, out = Workbook(), BytesIO()
    for row in rows:
        book.active.append(row)
    book.save(out)
    return out.getvalue()


def of_file(name, data):
    return readings_of_file(name, len(data), data)


def places(call, *arguments):
    with pytest.raises(InputErrors) as caught:
        call(*arguments)
    return {problem.path: problem.line() for problem in caught.value.problems}


@pytest.mark.parametrize("between", [" ", "\t", "; ", ", "])
def test_readings_are_typed_a_pair_a_line(between):
    text = "\n".join(f"{gap}{between}{volts}" for gap, volts in HAND)
    assert readings_of_text(text) == HAND


def test_every_typed_line_that_is_wrong_is_named():
    found = places(readings_of_text, "0.25 -2\n0.5\n0.75 minus six\n1 -7.9\n1 -8\n1.5 4\n-1 -3")
    assert set(found) == {"line 2", "line 3", "line 5", "line 6", "line 7"}
    assert "each gap once, as in line 4" in found["line 5"]
    assert "-30 to 0 V" in found["line 6"]


def test_a_csv_and_a_workbook_say_the_same_also_in_other_units():
    lines = "".join(f"{gap / 0.0254:.6f},{volts * 1000}\n" for gap, volts in HAND)
    from_csv = of_file("a.csv", f"gap (mil),output (mV)\n{lines}".encode())
    from_book = of_file("a.xlsx", workbook([["Output (V)", "x", "Gap (mm)"], *((v, 1, g) for g, v in HAND)]))
    assert from_book == HAND
    assert [pytest.approx(pair, abs=1e-5) for pair in from_csv] == HAND


def test_every_wrong_cell_of_a_workbook_is_named():
    rows = [["gap", "output"], [0.25, "=A1*2"], ["x", -2], [None, -3], [1.0, True], [99, -4]]
    found = places(of_file, "curve.xlsx", workbook(rows))
    assert set(found) == {"B2", "A3", "A4", "B5", "A6"}
    assert "formula" in found["B2"]


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("a.xlsx", b"PK\x03\x04 nothing else", "workbook"),
        ("a.exe", b"MZ", "saved as .xlsx or .csv"),
        ("a.csv", b"\xff\xfe\x00", "UTF-8"),
        ("a.csv", b"", "an empty table"),
        ("a.csv", b"one,two\n1,2\n", "columns named gap and output"),
        ("a.csv", b"gap,gap,output\n1,2,3\n", "each column once"),
        ("a.csv", b"gap (bar),output\n1,-3\n", "a unit such as mm"),
        ("a.csv", b"gap,output\n1,-3\n", "5 to 200 readings"),
        ("a.csv", b"gap,output\n" + b"1,-3\n" * 300, "at most 200 readings"),
    ],
)
def test_a_file_that_is_none_is_refused(name, data, says):
    assert says in " ".join(places(of_file, name, data).values())


def test_an_archive_that_unpacks_without_end_is_refused_before_it_is_unpacked():
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 60_000_000)
    assert "when unpacked" in " ".join(places(of_file, "a.xlsx", out.getvalue()).values())
