"""Forms come back whole or not at all: every problem at its cell, and nothing hostile gets in."""

from io import BytesIO
from zipfile import ZipFile

import pytest
from openpyxl import load_workbook

from specapp.documents.enquiry_workbook import technical_form
from specapp.domain.problems import InputErrors
from specapp.evaluation.offers_read import bidder_document, read_price, read_technical
from specapp.evaluation.reading import read_bids
from tests.evaluation.forms import address, empty, filled, repacked, sheet

PROBE = "supply:proximity_probe_8mm"


def _problems(data, read=read_technical):
    with pytest.raises(InputErrors) as caught:
        read(data, sheet())
    return caught.value.problems


def _cell(kind, name, key, column):
    row, at = address(kind, name, key, column)
    return f"{name}!{chr(64 + at)}{row}"


def test_an_empty_form_reads_as_no_answer():
    offer = read_technical(empty("technical"), sheet())
    assert len(offer.replies) == len(sheet().asked.requirements)
    assert {each.claim + each.offered for each in offer.replies} == {""}
    assert offer.items == ()
    assert read_price_problems() == ["three capital letters, like USD"]


def read_price_problems():
    return [each.allowed for each in _problems(empty("price"), read_price)]


def test_answers_come_back_with_their_cells():
    offer = read_technical(
        filled(
            "technical",
            ("requirements", "SIG-05", "claim", "complies"),
            ("requirements", "SIG-05", "offered", "2.2 mm"),
            ("requirements", "SIG-05", "evidence", "D-1 p 3"),
            ("bill", "item:proximity_probe_8mm", "quantity", 46),
            ("bill", "extra:1", "description", "Display"),
            ("bill", "extra:1", "quantity", 1),
            ("failure data", "device:probe", "beta", "5 %"),
            ("deviations", "deviation:1", "requirement", "SIG-06"),
            ("deviations", "deviation:1", "text", "r.m.s. only"),
        ),
        sheet(),
    )
    reply = next(each for each in offer.replies if each.requirement == "SIG-05")
    assert (reply.claim, reply.offered, reply.evidence) == ("complies", "2.2 mm", "D-1 p 3")
    assert [(each.key, each.quantity) for each in offer.items] == [("proximity_probe_8mm", 46.0), ("", 1.0)]
    assert next(each for each in offer.devices if each.device == "probe").values["beta"] == "5 %"
    assert offer.deviations[0].text == "r.m.s. only"


def test_prices_add_up_line_by_line_and_become_a_bidder_of_the_evaluation():
    supply = [("prices", f"supply:{item.key}", "price", 100.0) for item in sheet().asked.bill]
    spares = [("prices", f"spare:{item.key}", "price", 10.0) for item in sheet().asked.bill if item.spares]
    offer = read_price(
        filled(
            "price",
            *supply,
            *spares,
            ("terms", "term:currency", "text", "EUR"),
            ("terms", "term:discount_percent", "number", 2),
            ("services", "service:factory_test", "state", "included"),
            ("services", "service:site_days", "state", "price"),
            ("services", "service:site_days", "price", 5000),
            ("services", "service:training", "state", "by others"),
        ),
        sheet(),
    )
    pieces = sum(item.quantity for item in sheet().asked.bill)
    loose = sum(item.spares for item in sheet().asked.bill)
    assert offer.fob == pytest.approx(100 * pieces + 10 * loose)
    assert offer.items["software"] is None
    document = bidder_document("B", offer, weeks=20, factors={}, rates={"EUR": 1.1}, currency="USD")
    assert document["items"] == {
        "factory_test": "included",
        "site_days": 5500.0,
        "training": "by others",
        "software": None,
        "documents": None,
        "packing": None,
    }
    settings = {"currency": "USD", "rates": {"EUR": 1.1}}
    assert read_bids({"settings": settings, "items": list(document["items"]), "bidders": [document]})


def test_a_supply_line_without_a_price_leaves_the_sum_open():
    offer = read_price(
        filled("price", ("terms", "term:currency", "text", "EUR"), ("prices", PROBE, "price", 100)), sheet()
    )
    assert offer.fob is None
    assert len(offer.unpriced) > 5


@pytest.mark.parametrize("value", ["1200", "1.200,50", "1,200", "on request", True, -5, 1e13])
def test_what_is_no_number_is_refused_at_its_cell(value):
    data = filled("price", ("terms", "term:currency", "text", "EUR"), ("prices", PROBE, "price", value))
    (problem,) = _problems(data, read_price)
    assert problem.path == _cell("price", "prices", PROBE, "price")


@pytest.mark.parametrize(
    ("column", "value", "word"),
    [
        ("offered", "=1+1", "formula"),
        ("offered", "#REF!", "error"),
        ("offered", "x" * 301, "characters"),
        ("claim", "noted", "one of"),
        ("remark", "reduced by USD 12 000", "no price"),
        ("remark", "unit price see page 3", "no price"),
        ("text", "Something easier.", "as sent"),
        ("criterion", "at least 1 mm", "as sent"),
    ],
)
def test_each_problem_is_told_at_its_cell(column, value, word):
    (problem,) = _problems(filled("technical", ("requirements", "SIG-05", column, value)))
    assert problem.path == _cell("technical", "requirements", "SIG-05", column)
    assert word in problem.line()
    assert "12 000" not in problem.line()


def test_all_problems_come_at_once():
    data = filled(
        "technical",
        ("requirements", "SIG-05", "offered", "=1"),
        ("requirements", "SIG-06", "claim", "maybe"),
        ("bill", "item:junction_box", "quantity", "fourteen"),
    )
    assert len(_problems(data)) == 3


def _far_cell(book):
    book["requirements"]["XFD8"] = "far"


def _far_row(book):
    book["bill"]["C1048576"] = "far"


def _merge(book):
    book["requirements"].merge_cells("G8:H8")


def _rename(book):
    book["bill"].title = "bill (2)"


def _delete_row(book):
    book["requirements"].delete_rows(9)


def _insert_row(book):
    book["requirements"].insert_rows(9)
    book["requirements"]["C9"] = "one more"


def _other_enquiry(book):
    book["bill"]["A2"] = "enquiry:ENQ-8"


def _old_amendment(book):
    book["requirements"]["A3"] = "amendment:1"


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (_far_cell, "outside the form"),
        (_far_row, "below the form"),
        (_merge, "merged"),
        (_rename, "no sheet named bill"),
        (_delete_row, "missing"),
        (_insert_row, "does not have"),
        (_other_enquiry, "ENQ-8"),
        (_old_amendment, "amendment"),
    ],
)
def test_a_form_that_was_rebuilt_is_refused(change, word):
    assert any(word in each.line() for each in _problems(filled("technical", change=change)))


def test_the_price_form_is_no_technical_form():
    assert _problems(empty("price"))


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04 nothing", b"%PDF-1.4", b"x" * 5_000_001])
def test_other_files_are_refused(data):
    assert _problems(data)


def test_renamed_macros_are_refused():
    data = repacked(empty("technical"), **{"xl__vbaProject.bin": b"macro"})
    assert "macros" in _problems(data)[0].line()


def test_zip_padding_is_refused_before_unpacking():
    padded = repacked(empty("technical"), **{"xl__media__padding.bin": b"\0" * 31_000_000})
    assert len(padded) < 1_000_000
    assert "when unpacked" in _problems(padded)[0].line()


def test_entity_bombs_are_refused():
    with ZipFile(BytesIO(empty("technical"))) as archive:
        strings = archive.read("xl/sharedStrings.xml").decode()
    bomb = '<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>'
    head, mark, rest = strings.partition("?>")
    data = repacked(empty("technical"), **{"xl__sharedStrings.xml": f"{head}{mark}{bomb}{rest}".encode()})
    assert "cannot be read" in _problems(data)[0].line()


def test_a_form_is_the_same_for_everybody_and_locked():
    assert technical_form(sheet()) == empty("technical")
    book = load_workbook(BytesIO(empty("technical")))
    assert all(page.protection.sheet for page in book.worksheets)
    row, at = address("technical", "requirements", "SIG-05", "offered")
    assert not book["requirements"].cell(row, at).protection.locked
    assert book["requirements"].cell(row, at - 3).protection.locked
    assert book.properties.creator == "Invented plant"
    assert book.properties.lastModifiedBy in (None, "Invented plant")
