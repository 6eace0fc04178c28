"""Questions: everything that is open is asked once, of somebody, and the workbook holds only answers open."""

from io import BytesIO

import pytest
from openpyxl import load_workbook

from specapp.documents import ask_sheet, ask_workbook
from specapp.documents.asking import ASKED, fact_key, fact_path, questions
from specapp.documents.options import Options
from specapp.domain.leaf_limits import choices_of, whole_of
from specapp.domain.machine_columns import columns
from specapp.rulebook.fact_names import pinion_names
from specapp.rulebook.useful_facts import useful_facts
from tests.documents.reading import text_of
from tests.documents.sample import NAMES, hostile_proposal, proposal, proposal_with_hold

OPTIONS = Options()


@pytest.mark.parametrize("name", NAMES)
def test_every_open_point_and_assumption_is_asked_once(name):
    found = proposal(name)
    asked = questions(found)
    paths = [question.path for question in asked if question.path and question.kind == "fact"]
    assert len(paths) == len(set(paths))
    covered = {question.path for question in asked}
    for point in found.open_points:
        group = point.key.removeprefix("setpoints/")
        advised = any(q.kind == "setpoint" and q.item.startswith(group) for q in asked)
        assert point.needs in covered or advised, point.key
    assert {item.field for item in found.assumptions} <= covered
    assert {each.path for each in useful_facts(found) if each.path in columns()} <= covered | {
        point.needs for point in found.open_points if point.key.startswith("setpoints/")
    }
    assert [question.number for question in asked] == list(range(1, len(asked) + 1))
    assert all(question.because for question in asked)


@pytest.mark.parametrize("name", NAMES)
def test_a_number_is_the_same_on_every_sheet(name):
    found = proposal(name)
    apart = [question for who in ASKED for question in questions(found, who)]
    assert tuple(apart) == questions(found)


def test_held_setpoints_and_trips_without_a_value_are_to_be_advised():
    held = proposal_with_hold()
    wanted = {
        (point.voting_group, level)
        for point in held.points
        for level in ("alarm", "trip")
        if (setpoint := getattr(point.setpoints, level)) and setpoint.status in ("hold", "placeholder")
    }
    asked = {(q.item, q.level) for q in questions(held) if q.kind == "setpoint"}
    assert wanted
    assert wanted <= asked
    assert ("P1/axial/A", "trip") in {
        (q.item, q.level) for q in questions(proposal("minimal_process")) if q.kind == "setpoint"
    }


def test_a_key_finds_its_pinion_after_they_are_reordered():
    key = fact_key("pinions[1].journal_diameter", ["P1", "P2"])
    assert fact_path(key, ["P2", "P1"]) == "pinions[0].journal_diameter"
    assert fact_path(key, ["P1", "P3"]) is None
    assert fact_path("fact:bull_gear.nothing", []) is None


def test_what_a_field_may_be_told_is_read_off_the_description():
    assert choices_of("pinions[0].axial_location") == ("thrust_collar", "thrust_bearing", "mesh")
    assert choices_of("bull_gear.journal_diameter") == ()
    assert whole_of("bull_gear.teeth").minimum > 0
    assert whole_of("pinions[0].stages") is None
    with pytest.raises(KeyError):
        choices_of("bull_gear.nothing")


def test_the_sheet_says_what_is_asked_and_of_whom():
    text = text_of(ask_sheet.render_for(proposal("minimal_process"), OPTIONS, "maker"))
    assert "To the machine maker" in text
    assert "The journal diameter of P2?" in text
    assert "To the owner" not in text


@pytest.mark.parametrize("ask", ["", *ASKED])
def test_only_answers_can_be_changed(ask):
    found = proposal("minimal_process")
    sheet = load_workbook(BytesIO(ask_workbook.render_for(found, OPTIONS, ask))).active
    assert sheet.protection.sheet
    assert sheet.column_dimensions["A"].hidden
    asked = questions(found, ask)
    rows = {sheet.cell(n, 1).value: n for n in range(1, sheet.max_row + 1)}
    assert [key for key in rows if key and key.startswith(("fact:", "setpoint:", "words:"))] == [
        question.key for question in asked
    ]
    open_to_change = {"answer", "document", "revision", "page", "remark"}
    for question in asked:
        for column, heading in enumerate(ask_workbook.HEADINGS, start=1):
            cell = sheet.cell(rows[question.key], column)
            is_open = heading in open_to_change or (heading == "unit" and len(question.units) > 1)
            assert cell.protection.locked is not is_open, (question.key, heading)
            if is_open and heading != "unit":
                assert cell.value is None
    validated = {str(each) for rule in sheet.data_validations.dataValidation for each in rule.sqref.ranges}
    answer = ask_workbook.HEADINGS.index("answer") + 1
    assert {sheet.cell(rows[question.key], answer).coordinate for question in asked} <= validated


def test_no_text_of_anybody_becomes_a_formula():
    sheet = load_workbook(BytesIO(ask_workbook.render(hostile_proposal(), Options(project="=1+1")))).active
    assert all(cell.data_type != "f" for row in sheet.iter_rows() for cell in row)


@pytest.mark.parametrize("name", NAMES)
def test_names_of_pinions_are_in_the_keys(name):
    found = proposal(name)
    names = pinion_names(found.machine)
    for question in questions(found):
        if question.kind == "fact":
            assert fact_path(question.key, names) == question.path
