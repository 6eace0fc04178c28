"""Comment sheet and workbook: the same bytes for the same comments, hostile texts as texts."""

from dataclasses import replace
from io import BytesIO

import pytest
from openpyxl import load_workbook

from specapp.documents import comment_sheet, comment_workbook
from specapp.documents.comment_sheet import CommentLine, CommentSheet, MarkedDrawing
from specapp.documents.comment_workbook import HEADINGS, NEW_ROWS, Choices, Ticket
from specapp.documents.comment_workbook_reading import read_returned
from specapp.documents.options import Options
from specapp.domain.problems import InputErrors
from specapp.drawings.machine_layout import layout_scene
from specapp.drawings.review_marks import Mark, with_marks
from tests.documents.reading import sheet_texts, text_of, without_spaces
from tests.documents.sample import HOSTILE, proposal

LINE = CommentLine(
    number=7,
    uid="0123456789abcdef",
    where="VE-1210-B1Y, radial vibration",
    field="trip",
    category="safety",
    discipline="instruments and control",
    due="2026-04-01",
    by="A. Reader",
    written="2026-03-02",
    text="Lower the trip.",
    proposed="45",
    replies=("2026-03-03 B. Writer, reply A, agreed, incorporated: Taken over.",),
    code="A",
    state="◐ answered",
)
OPTIONS = Options(watermark="working", standing="comments on the working draft, not issued")
TICKET = Ticket(12, "", 3, "INTERNAL", "abc")
CHOICES = Choices(
    [("A", "agreed"), ("N", "not agreed")], ("trip", "alarm"), ("safety", "minor"), ("electrical",)
)


def sheet(*lines, drawings=()):
    return CommentSheet("K-1", "working draft v3", "the maker", "All of them.", lines, drawings)


@pytest.fixture(scope="module")
def workbook():
    return comment_workbook.render(sheet(LINE), OPTIONS, TICKET, CHOICES)


def test_a_row_says_everything_of_its_comment():
    text = without_spaces(text_of(comment_sheet.render(sheet(LINE), OPTIONS)))
    for part in (LINE.where, LINE.field, LINE.category, LINE.discipline, LINE.due, LINE.by, LINE.text, "45"):
        assert without_spaces(part) in text
    assert without_spaces(LINE.replies[0]) in text
    assert "◐answered" in text
    assert "1commentfor:themaker" in text
    assert "working" in text


def test_marks_stand_numbered_on_their_drawing_with_their_comments_below():
    scene = with_marks(layout_scene(proposal("minimal_process")), [Mark(7, 50.0, 40.0)])
    texts = sheet_texts(comment_sheet.render(sheet(LINE, drawings=[MarkedDrawing(scene, (LINE,))]), OPTIONS))
    marked = next(text for text in texts if "Marks on" in text)
    assert "7" in marked.split()
    assert any("Lower the trip." in text for text in texts[1:])


def test_the_same_comments_give_the_same_bytes(workbook):
    assert comment_sheet.render(sheet(LINE), OPTIONS) == comment_sheet.render(sheet(LINE), OPTIONS)
    assert workbook == comment_workbook.render(sheet(LINE), OPTIONS, TICKET, CHOICES)


@pytest.mark.parametrize("text", [HOSTILE, "=1+1", "@SUM(A1)", "line\nline\n" * 200, "x" * 4000])
def test_texts_are_printed_as_they_are(text):
    line = replace(LINE, text=text, by=HOSTILE, replies=(text,))
    assert comment_sheet.render(sheet(line), OPTIONS).startswith(b"%PDF")
    book = load_workbook(BytesIO(comment_workbook.render(sheet(line), OPTIONS, TICKET, CHOICES)))
    cells = [cell for row in book["comments"].iter_rows() for cell in row if cell.value is not None]
    assert not any(cell.data_type == "f" for cell in cells)
    assert text.strip() in [str(cell.value).strip() for cell in cells]


def test_only_answers_and_rows_for_new_comments_are_free(workbook):
    page = load_workbook(BytesIO(workbook))["comments"]
    assert page.protection.sheet
    assert page.column_dimensions["A"].hidden
    row = next(row for row in page.iter_rows() if row[0].value == f"comment:{LINE.uid}")
    free = {HEADINGS[cell.column - 1] for cell in row if not cell.protection.locked}
    assert free == {"reply", "reply code"}
    new = [row for row in page.iter_rows() if str(row[0].value).startswith("new:")]
    assert len(new) == NEW_ROWS
    lists = {str(each.formula1) for each in page.data_validations.dataValidation if each.type == "list"}
    assert '"A,N"' in lists
    assert '"safety,minor"' in lists


def test_a_workbook_sent_and_returned_untouched_brings_nothing(workbook):
    found = read_returned(workbook)
    assert found.ticket == TICKET
    assert (found.replies, found.comments, found.problems) == ((), (), ())


@pytest.mark.parametrize("part", ["comments/1", "id", "machine:12"])
def test_a_workbook_whose_hidden_column_was_changed_is_refused(workbook, part):
    book = load_workbook(BytesIO(workbook))
    for row in book["comments"].iter_rows(max_col=1):
        if row[0].value == part:
            row[0].value = "x"
    out = BytesIO()
    book.save(out)
    with pytest.raises(InputErrors):
        read_returned(out.getvalue())


def test_a_text_below_the_rows_and_a_copied_row_are_told(workbook):
    book = load_workbook(BytesIO(workbook))
    page = book["comments"]
    last = page.max_row
    page.cell(last + 1, 5, "written below everything")
    page.cell(last + 2, 1, f"comment:{LINE.uid}")
    page.cell(last + 2, HEADINGS.index("reply") + 1, "twice")
    row = next(row for row in page.iter_rows() if row[0].value == f"comment:{LINE.uid}")
    row[HEADINGS.index("reply")].value = "once"
    out = BytesIO()
    book.save(out)
    found = read_returned(out.getvalue())
    assert [reply.text for reply in found.replies] == ["once"]
    assert [problem.path for problem in found.problems] == [f"E{last + 1}", f"M{last + 2}"]
