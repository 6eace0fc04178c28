"""What issued sheets carry: a code, a standing of their own; notes of change, marked copies, an archive."""

import json
from datetime import date
from io import BytesIO
from zipfile import ZipFile

import pytest
from pypdf import PdfWriter

from specapp.documents import change_note
from specapp.documents.change_words import change_lines
from specapp.documents.issue_package import PackedFile, package
from specapp.documents.options import Options
from specapp.documents.registry import DOCUMENTS, PDF
from specapp.documents.sheet_code import ALPHABET, LENGTH, code_in, code_of, shown, typed
from specapp.documents.superseding import superseded_copy
from specapp.rulebook.comparison import compare
from specapp.rulebook.proposing import propose_document
from tests.documents.reading import csv_rows, pdf, sheet_texts, text_of
from tests.documents.sample import HOSTILE, description, hostile_proposal, proposal

CODE = "7KQ2M4TD"
ISSUED = Options(
    code=CODE, revision="A", standing="issued for review", issued_on="2026-03-02", number="NM-001"
)


def changed(**fields):
    document = json.loads(json.dumps(description("minimal_process")))
    document["pinions"][0] |= fields
    return propose_document(document)


@pytest.mark.parametrize("key", [key for key, each in DOCUMENTS.items() if each.media_type == PDF])
def test_every_sheet_says_its_code_and_the_file_keeps_it(key):
    data = DOCUMENTS[key].render(proposal("minimal_process"), ISSUED)
    assert code_in(data) == CODE
    for text in sheet_texts(data):
        assert shown(CODE) in text


def test_a_code_survives_a_remark_and_a_rewriting():
    data = DOCUMENTS["hand_sheets"].render(proposal("minimal_process"), ISSUED)
    writer = PdfWriter(clone_from=BytesIO(data))
    writer.add_blank_page(100, 100)
    out = BytesIO()
    writer.write(out)
    assert code_in(out.getvalue()) == CODE


def test_sheets_without_a_code_hold_none():
    assert code_in(DOCUMENTS["hand_sheets"].render(proposal("minimal_process"), Options())) is None


def test_codes_are_read_as_people_type_them():
    assert typed(" 7kq2-m4td ") == CODE
    assert typed(shown(CODE)) == CODE
    for wrong in ("", "7KQ2-M4T", "7KQ2-M4TDD", "7KQ2-M4T0", "7KQ2-M4TÖ"):
        assert typed(wrong) is None
    assert {len(code_of(number)) for number in (0, 1, len(ALPHABET) ** LENGTH - 1)} == {LENGTH}
    assert code_of(0) != code_of(1)


def test_an_issued_cover_does_not_say_working():
    text = text_of(DOCUMENTS["datasheet"].render(proposal("minimal_process"), ISSUED))
    assert "Issued for review." in text
    assert "ot issued" not in text
    assert "NM-001" in text


def test_a_change_note_has_one_page_whatever_has_changed():
    before, after = proposal("minimal_process"), proposal("eight_stage")
    data = change_note.render(before, after, ISSUED, replaces="0", holds=[f"hold {n}" for n in range(40)])
    assert len(pdf(data).pages) == 1
    text = text_of(data)
    assert "Further differences" in text
    assert "On hold: 40" in text


def test_a_change_note_says_was_is_and_why():
    data = change_note.render(proposal("minimal_process"), changed(speed="14000 rpm"), ISSUED, replaces="0")
    text = text_of(data)
    assert "Revision A in place of 0" in text
    assert "the speed of P1: was" in text


def test_a_first_issue_has_nothing_to_compare():
    text = text_of(change_note.render(None, proposal("minimal_process"), ISSUED, replaces=""))
    assert "First issue" in text


def test_hostile_texts_stay_texts_in_a_change_note():
    data = change_note.render(proposal("turbine_driven_hydrogen"), hostile_proposal(), ISSUED, replaces="0")
    assert HOSTILE[:20] in text_of(data)


def test_no_difference_has_no_line():
    same = proposal("minimal_process")
    assert change_lines(compare(same, same)) == {}


def test_differences_name_only_what_differs():
    lines = change_lines(compare(proposal("minimal_process"), changed(speed="14000 rpm")))
    line = next(line for line in lines["Setpoints"] if "P1/P1-1/radial" in line.items)
    assert line.was != line.now
    assert any("speed of P1" in why for why in line.why)


def test_a_marked_copy_has_the_line_on_every_sheet():
    data = DOCUMENTS["hand_sheets"].render(proposal("minimal_process"), ISSUED)
    line = "superseded by revision B, 2026-04-01"
    texts = sheet_texts(superseded_copy(data, line))
    assert len(texts) == len(sheet_texts(data))
    assert all(line in text for text in texts)


def packed(name, **more):
    given = {
        "content": b"x",
        "number": "=1+1",
        "title": "@title",
        "revision": "A",
        "purpose": "review",
        "date": "2026-03-02",
        "sha256": "0" * 64,
        "replaces": "",
    }
    return PackedFile(filename=name, **(given | more))


def test_an_archive_is_the_same_again_with_a_harmless_index():
    files = [packed("a.pdf"), packed("b.csv", content=b"y")]
    data = package(files, date(2026, 3, 2))
    assert data == package(files, date(2026, 3, 2))
    with ZipFile(BytesIO(data)) as archive:
        assert archive.namelist() == ["index.csv", "a.pdf", "b.csv"]
        assert archive.read("b.csv") == b"y"
        (first, _) = csv_rows(archive.read("index.csv"))
    assert first["number"] == "'=1+1"
    assert first["title"] == "'@title"
