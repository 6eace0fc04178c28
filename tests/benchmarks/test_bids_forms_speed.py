"""How long an offer of a thousand lines takes from file to judged replies: at most 400 ms to import."""

from io import BytesIO

import msgspec
import pytest
import xlsxwriter
from openpyxl import load_workbook

from specapp.documents.enquiry_workbook import technical_form
from specapp.evaluation.offer_form import HEAD_ROWS
from specapp.evaluation.offers_read import read_technical
from specapp.evaluation.replies.checking import check_offer
from tests.benchmarks.slowness import slowness
from tests.evaluation.forms import sheet

LINES = 1000
IMPORT_S = 0.4
CHECK_S = 0.4


@pytest.fixture(scope="module")
def long_sheet():
    asked = sheet().asked
    rows = [
        msgspec.structs.replace(each, id=f"{each.id}-{number}")
        for number in range(LINES // len(asked.requirements) + 1)
        for each in asked.requirements
    ][:LINES]
    return msgspec.structs.replace(sheet(), asked=msgspec.structs.replace(asked, requirements=tuple(rows)))


@pytest.fixture(scope="module")
def long_offer(long_sheet):
    book = load_workbook(BytesIO(technical_form(long_sheet)))
    page = book["requirements"]
    for row in range(HEAD_ROWS + 1, HEAD_ROWS + LINES + 1):
        page.cell(row, 7).value = "complies"
        page.cell(row, 8).value = "2.2 mm"
        page.cell(row, 10).value = f"D-{row}, page 3"
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def _saved_by_an_office_program(offer):
    """Return the workbook with each text kept once, beside the sheets, as office programs save it."""
    out = BytesIO()
    book = xlsxwriter.Workbook(out)
    for page in load_workbook(BytesIO(offer), read_only=True).worksheets:
        sheet = book.add_worksheet(page.title)
        for row, values in enumerate(page.iter_rows(values_only=True)):
            sheet.write_row(row, 0, values)
    book.close()
    return out.getvalue()


@pytest.mark.parametrize("save", [bytes, _saved_by_an_office_program], ids=["texts in cells", "texts shared"])
def test_importing_a_thousand_lines(benchmark, long_sheet, long_offer, save):
    benchmark.pedantic(read_technical, args=(save(long_offer), long_sheet), rounds=5, warmup_rounds=1)
    assert benchmark.stats["min"] < IMPORT_S * slowness()


def test_checking_a_thousand_replies(benchmark, long_sheet, long_offer):
    offer = read_technical(long_offer, long_sheet)
    benchmark.pedantic(check_offer, args=(long_sheet.asked, offer), rounds=5, warmup_rounds=1)
    assert benchmark.stats["min"] < CHECK_S * slowness()
