"""The workbook read back by another library."""

from io import BytesIO
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook

from specapp.documents.options import PAGE_SIZES, Options
from specapp.documents.registry import DOCUMENTS
from tests.documents.sample import HOSTILE, hostile_proposal, proposal

WORKBOOK = DOCUMENTS["bill_workbook"]
SHEETS = [
    "Bill",
    "Points",
    "Setpoints",
    "Checks",
    "Cause and effect",
    "Responsibility",
    "Cables",
    "Boxes",
    "Open points",
    "Assumptions",
    "Criteria",
    "About",
]


@pytest.fixture(scope="module")
def book():
    return load_workbook(BytesIO(WORKBOOK.render(proposal("contract_example"), Options("A3"))))


def test_sheets_are_those_of_the_contract(book):
    assert book.sheetnames == SHEETS


@pytest.mark.parametrize("name", SHEETS[:-1])
def test_headers_stay_in_view_and_filter(book, name):
    sheet = book[name]
    assert sheet.freeze_panes.endswith("2")
    assert sheet.freeze_panes != "A2"
    assert sheet.auto_filter.ref.startswith("A1:")
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.page_setup.paperSize == 8
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.print_title_rows == "$1:$1"


def test_numbers_are_numbers(book):
    machine = proposal("contract_example")
    rows = list(book["Bill"].iter_rows(min_row=2, values_only=True))
    assert [(row[1], row[3], row[4]) for row in rows] == [
        (line.item, line.quantity, line.spares) for line in machine.bill_of_materials
    ]
    headings = [cell.value for cell in book["Setpoints"][1]]
    values = {
        type(row[headings.index("Value")]) for row in book["Setpoints"].iter_rows(min_row=2, values_only=True)
    }
    assert values <= {int, float}


def test_nothing_becomes_a_formula_or_a_link():
    data = WORKBOOK.render(hostile_proposal(), Options(project="=2+3", prepared="+1"))
    book = load_workbook(BytesIO(data))
    for sheet in book:
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
                assert cell.hyperlink is None
    assert book["About"]["B2"].value == "=2+3"
    names = ZipFile(BytesIO(data)).namelist()
    assert not [name for name in names if "externalLink" in name or "vba" in name]


def test_texts_are_kept_as_they_are():
    book = load_workbook(BytesIO(WORKBOOK.render(hostile_proposal())))
    reasons = [row[7] for row in book["Criteria"].iter_rows(min_row=2, values_only=True) if row[7]]
    assert len(reasons) == 1
    assert reasons[0].startswith('=HYPERLINK("x")')
    assert HOSTILE.startswith("<img")


def test_every_member_of_the_file_has_the_same_old_date():
    data = WORKBOOK.render(proposal("minimal_packaged"))
    assert {item.date_time[:3] for item in ZipFile(BytesIO(data)).infolist()} == {(1980, 1, 1)}
    assert b"2000-01-01T00:00:00Z" in ZipFile(BytesIO(data)).read("docProps/core.xml")


@pytest.mark.parametrize("size", PAGE_SIZES)
def test_paper_is_the_one_asked_for(size):
    book = load_workbook(BytesIO(WORKBOOK.render(proposal("minimal_packaged"), Options(size))))
    assert book["Bill"].page_setup.paperSize == {"A4": 9, "A3": 8, "Letter": 1, "Tabloid": 17}[size]
