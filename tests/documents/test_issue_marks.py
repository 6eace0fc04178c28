"""What an issued sheet carries besides its text: where each row stands, and what the revision has changed."""

import re
from io import BytesIO

import pytest
from pypdf import PdfWriter
from pypdfium2 import PdfDocument

from specapp.documents import change_note
from specapp.documents.changes import TRAIN, changes_between
from specapp.documents.options import Options
from specapp.documents.place_index import places_in, sheet_in
from specapp.documents.registry import DOCUMENTS
from specapp.domain.overrides import Override
from specapp.rulebook.proposing import propose_document
from tests.documents.reading import pdf, sheet_texts
from tests.documents.sample import description, proposal

CODE = "7KQ2M4TD"
POINT = "P1/P1-1/radial/Y"


@pytest.fixture(scope="module")
def after():
    angle = Override(POINT, "angle", 40.0, "as found on the model", "A. Writer", "2026-01-01T00:00:00")
    return propose_document(description("minimal_process"), overrides=[angle])


@pytest.fixture(scope="module")
def changes(after):
    return changes_between(proposal("minimal_process"), after, "B")


@pytest.fixture(scope="module")
def marked(after, changes):
    return DOCUMENTS["datasheet"].render(after, Options(code=CODE, revision="B", changes=changes))


def operators(data, sheet):
    return pdf(data).pages[sheet].get_contents().get_data().decode("latin-1")


def test_changes_are_those_of_the_comparison(changes):
    assert changes.touch("point_fields", POINT, "angle")
    assert not changes.touch("point_fields", POINT, "tag")
    assert changes.items("point_fields") == {POINT}


def test_a_shaft_drawn_in_another_way_is_a_change_of_its_drawing_alone():
    told = description("minimal_process")
    told["pinions"][0]["position_angle"] = "40 deg"
    turned = changes_between(proposal("minimal_process"), propose_document(told), "B")
    assert turned.items(TRAIN) == {"P1"}
    same = changes_between(proposal("minimal_process"), propose_document(description("minimal_process")), "B")
    assert not same.marks


def test_the_same_changes_give_the_same_bytes(marked, after, changes):
    again = DOCUMENTS["datasheet"].render(after, Options(code=CODE, revision="B", changes=changes))
    assert marked == again


def test_a_bar_stands_in_the_margin_of_changed_rows_alone(marked, after):
    sheets = places_in(marked)
    schedule = next(i for i, places in enumerate(sheets) if any(row.item == POINT for row in places.rows))
    row = next(row for row in sheets[schedule].rows if row.item == POINT and not row.field)
    across, top = re.search(r"1\.6 w\n(\S+) (\S+) m", operators(marked, schedule)).groups()
    assert (float(across), float(top)) == pytest.approx((row.right + 3.2, row.top - 0.8), abs=0.1)
    assert "1.6 w" not in operators(marked, 1)
    plain = DOCUMENTS["datasheet"].render(after, Options(code=CODE, revision="B"))
    assert "1.6 w" not in operators(plain, schedule)
    assert "changed in revision B" in sheet_texts(marked)[0]
    assert "changed in revision" not in sheet_texts(plain)[0]


def test_the_index_tells_what_stands_where(marked):
    """The text that a reader finds in the place of a row is the row's."""
    found = 0
    document = PdfDocument(marked)
    for number, places in enumerate(places_in(marked)):
        for row in places.rows:
            if row.item == POINT and not row.field:
                page = document[number].get_textpage()
                text = page.get_text_bounded(row.left, row.bottom, row.right, row.top)
                if POINT in "".join(text.split()):
                    found += 1
    assert found >= 2


def test_the_index_holds_drawings_with_their_scale(marked):
    scenes = {scene.name: scene for places in places_in(marked) for scene in places.scenes}
    layout = scenes["layout"]
    assert layout.at(layout.left + layout.scale * 12, layout.top - layout.scale * 7) == pytest.approx((12, 7))
    assert POINT in {group.item for group in layout.groups}
    assert not layout.holds(layout.left - 1, layout.top - 1)


def test_a_working_sheet_carries_no_index():
    data = DOCUMENTS["channel_settings"].render(proposal("minimal_process"), Options())
    assert b"PieceInfo" not in data
    assert not any(places.rows for places in places_in(data))


@pytest.mark.parametrize("key", ["hand_sheets", "questions", "schedules", "descriptive_system"])
def test_other_documents_keep_where_their_items_stand(key):
    data = DOCUMENTS[key].render(proposal("minimal_process"), Options(code=CODE))
    items = {row.item for places in places_in(data) for row in places.rows}
    known = {point.key for point in proposal("minimal_process").points}
    known |= {point.voting_group for point in proposal("minimal_process").points}
    assert items & known


def said_at(data, wanted):
    """Return the text that stands in each place that tells of an item."""
    document = PdfDocument(data)
    return [
        document[number].get_textpage().get_text_bounded(row.left, row.bottom, row.right, row.top)
        for number, places in enumerate(places_in(data))
        for row in places.rows
        if row.item == wanted
    ]


def test_a_row_shared_by_checks_names_every_subject_and_is_found_under_each(marked, after):
    subjects = {f"check/{c.check}/{c.subject}": c.subject for c in after.checks if c.result != "pass"}
    document = PdfDocument(marked)
    named, rows = set(), set()
    for number, sheet in enumerate(places_in(marked)):
        asked = [row for row in sheet.rows if row.item in subjects]
        page = document[number].get_textpage() if asked else None
        for row in asked:
            text = page.get_text_bounded(row.left, row.bottom, row.right, row.top)
            if subjects[row.item] in "".join(text.split()):
                named.add(row.item)
            rows.add((number, row.top))
    assert named == set(subjects)
    assert len(rows) < len(subjects)


def test_a_pocket_card_keeps_where_its_box_and_each_point_stand():
    machine = proposal("minimal_process")
    data = DOCUMENTS["pocket_cards"].render(machine, Options(code=CODE))
    tags = {point.key: point.tag for point in machine.points}
    for box in machine.architecture.junction_boxes:
        assert box.key in said_at(data, f"box/{box.key}")[0]
        for point in box.points:
            (text,) = said_at(data, point)
            assert tags[point] in text
            assert sum(tag in text for tag in tags.values()) == 1


def test_a_verification_keeps_where_each_function_check_and_open_point_stands():
    machine = proposal("minimal_process")
    data = DOCUMENTS["verification_report"].render(machine, Options(code=CODE))
    for function in machine.safety_functions:
        assert any(str(function["key"]) in text for text in said_at(data, str(function["key"])))
    check = next(each for each in machine.checks if each.check.startswith("safety."))
    assert check.check in said_at(data, f"check/{check.check}/{check.subject}")[0]
    open_point = next(each for each in machine.open_points if each.key.startswith("safety/"))
    assert open_point.key in said_at(data, f"open/{open_point.key}")[0]


def test_a_change_note_keeps_where_each_difference_is_told(after):
    options = Options(code=CODE, revision="B")
    data = change_note.render(proposal("minimal_process"), after, options, replaces="A")
    assert any("angle" in text and POINT in text for text in said_at(data, POINT))


def test_the_index_survives_a_rewriting(marked):
    writer = PdfWriter(clone_from=BytesIO(marked))
    out = BytesIO()
    writer.write(out)
    assert places_in(out.getvalue()) == places_in(marked)
    assert [sheet_in(page) for page in pdf(out.getvalue()).pages][:3] == [1, 2, 3]


def test_drawing_files_carry_the_clouds(after, changes):
    marked = DOCUMENTS["layout"].render(after, Options(changes=changes)).decode()
    assert "Changed in revision B" in marked
    assert "Changed in revision" not in DOCUMENTS["layout"].render(after).decode()
