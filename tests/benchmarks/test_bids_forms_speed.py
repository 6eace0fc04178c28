"""How long an offer of a thousand lines takes from file to judged replies: at most 400 ms to import."""

from io import BytesIO

import msgspec
import pytest
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


def test_importing_a_thousand_lines(benchmark, long_sheet, long_offer):
    benchmark.pedantic(read_technical, args=(long_offer, long_sheet), rounds=5, warmup_rounds=1)
    assert benchmark.stats["min"] < IMPORT_S * slowness()


def test_checking_a_thousand_replies(benchmark, long_sheet, long_offer):
    offer = read_technical(long_offer, long_sheet)
    benchmark.pedantic(check_offer, args=(long_sheet.asked, offer), rounds=5, warmup_rounds=1)
    assert benchmark.stats["min"] < CHECK_S * slowness()
