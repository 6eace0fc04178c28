"""Comma-separated files: RFC 4180, safe in a spreadsheet, nothing lost."""

import pytest

from specapp.documents.cells import csv_text, workbook_text
from specapp.documents.registry import DOCUMENTS
from tests.documents.reading import csv_rows
from tests.documents.sample import NAMES, hostile_proposal, proposal

CSV_KEYS = [key for key, document in DOCUMENTS.items() if document.filename.endswith(".csv")]


@pytest.mark.parametrize("name", NAMES)
def test_index_has_a_row_for_every_point_of_every_train(name):
    machine = proposal(name)
    rows = csv_rows(DOCUMENTS["points"].render(machine))
    assert len(rows) == len(machine.points) * max(1, len(machine.machine.get("trains") or ()))
    assert len({row["Tag"] for row in rows}) == len(rows)


def test_numbers_read_back_as_they_were():
    machine = proposal("eight_stage")
    rows = csv_rows(DOCUMENTS["setpoints"].render(machine))
    by_place = {(row["Point"], row["Reading"], row["Level"]): row for row in rows}
    for point in machine.points:
        for level, setpoint in (("alarm", point.setpoints.alarm), ("trip", point.setpoints.trip)):
            if setpoint is not None:
                row = by_place[point.key, point.quantity.replace("_", " "), level]
                assert float(row["Value"]) == setpoint.value
                assert float(row["Unrounded"]) == setpoint.unrounded
                assert row["State"] == setpoint.status
                assert (float(row["Low side"]) if row["Low side"] else None) == setpoint.low


def test_bill_keeps_spares_apart():
    machine = proposal("contract_example")
    rows = csv_rows(DOCUMENTS["bill"].render(machine))
    assert [(row["Item"], int(row["Quantity"]), int(row["Spares"])) for row in rows] == [
        (line.item, line.quantity, line.spares) for line in machine.bill_of_materials
    ]


def test_every_trip_has_an_effect_in_the_matrix():
    rows = csv_rows(DOCUMENTS["cause_and_effect"].render(proposal("contract_example")))
    trips = [row for row in rows if row["Level"] == "trip"]
    assert trips
    assert all("X" in row.values() for row in trips)


@pytest.mark.parametrize("key", CSV_KEYS)
def test_lines_end_as_rfc_4180_asks_and_no_cell_is_a_formula(key):
    data = DOCUMENTS[key].render(hostile_proposal()).decode("utf-8-sig")
    assert data.endswith("\r\n")
    assert "\n" not in data.replace("\r\n", "")
    for row in csv_rows(DOCUMENTS[key].render(hostile_proposal())):
        for cell in row.values():
            if cell and cell[0] in "=+-@":
                float(cell)


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t=", "\r=", "  =", "\n@", "＝"])
def test_text_a_spreadsheet_would_calculate_gets_an_apostrophe(start):
    assert csv_text(f"{start}cmd|' /c calc'!A0").startswith("'")


@pytest.mark.parametrize("text", ["VE-4410", "P1/P1-1/radial/Y", "–", "(=1)", ""])
def test_other_text_stays_as_it_is(text):
    assert csv_text(text) == text


def test_text_too_long_for_a_workbook_cell_says_where_it_was_cut():
    assert workbook_text("x" * 32_767) == "x" * 32_767
    cut = workbook_text("x" * 32_768)
    assert len(cut) == 32_767
    assert cut.endswith(" … cut here")
