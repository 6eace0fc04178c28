"""Comments out and in: what a workbook or a returned copy brings lands once, and on the right item."""

from functools import cache
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import load_workbook
from pypdf import PdfWriter
from pypdf.annotations import FreeText, Highlight, Rectangle, Text
from pypdf.generic import (
    ArrayObject,
    DictionaryObject,
    FloatObject,
    NameObject,
    NullObject,
    NumberObject,
    TextStringObject,
)

from specapp.core.roles import Role
from specapp.documents.change_words import change_lines
from specapp.documents.comment_workbook import HEADINGS
from specapp.documents.options import Options
from specapp.documents.place_index import places_in
from specapp.documents.registry import DOCUMENTS, PDF
from specapp.documents.sheet_code import shown
from specapp.domain.overrides import Override
from specapp.review.models import Audience, Comment, Entry, Origin, StagedReview, State
from specapp.review.places import places_of, scene_of
from specapp.review.services.comments import Place
from specapp.revisions.content import content_of, stored
from specapp.revisions.models import IssuedDocument, Revision
from specapp.rulebook.comparison import compare
from specapp.rulebook.proposing import propose_document
from tests.documents.reading import text_of
from tests.documents.sample import description, proposal
from tests.factories import member
from tests.review.commenting import GROUP, POINT, commented, reviewed
from tests.revisions.rows import issued_rows

pytestmark = pytest.mark.django_db

CODE = "7KQ2M4TD"


def url(name, machine, *more):
    return reverse(f"review:{name}", args=[machine.project_id, machine.pk, *more])


@pytest.fixture
def sheet(client):
    """Return a machine with two comments, of which the maker may read one, and its engineer signed in."""
    machine, person = reviewed()
    commented(machine, person, Place(item=GROUP, field="trip"), audience=Audience.MAKER)
    commented(machine, person, text="=1+1 within the company")
    client.force_login(person)
    return machine, person


def fetched(client, machine, kind, audience=Audience.INTERNAL):
    response = client.get(url("exchange-file", machine, kind), {"for": audience})
    assert response.status_code == 200
    return response.content


def filled(data, *cells):
    """Return a workbook with cells filled in: row of `no.`, heading, value."""
    book = load_workbook(BytesIO(data))
    page = book["comments"]
    rows = {str(row[0].value): row[0].row for row in page.iter_rows(max_col=1) if row[0].value}
    for key, heading, value in cells:
        row = next(number for name, number in rows.items() if name == key)
        page.cell(row, HEADINGS.index(heading) + 1, value)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def uid(number):
    return f"comment:{Comment.objects.get(number=number).uid}"


def brought(client, machine, data, name="returned.xlsx", **more):
    return client.post(
        url("exchange", machine), {"do": "bring", "file": SimpleUploadedFile(name, data), **more}
    )


def landed(client, machine):
    staged = StagedReview.objects.get()
    return client.post(url("exchange", machine), {"do": "land", "brought": staged.brought_at.isoformat()})


def test_a_sheet_for_the_maker_holds_what_is_for_him_alone(client, sheet):
    machine, _ = sheet
    for audience, count in ((Audience.INTERNAL, 2), (Audience.MAKER, 1), (Audience.CLIENT, 0)):
        text = text_of(fetched(client, machine, "pdf", audience))
        assert f"{count} comment" in text
        assert ("within the company" in text) == (audience == Audience.INTERNAL)


def test_a_maker_reaches_no_other_audience(client, sheet):
    machine, _ = sheet
    client.force_login(member(machine.project, Role.MAKER))
    assert client.get(url("exchange-file", machine, "pdf"), {"for": Audience.INTERNAL}).status_code == 403
    text = text_of(client.get(url("exchange-file", machine, "pdf")).content)
    assert "1 comment " in text
    assert "within the company" not in text
    assert client.get(url("exchange-file", machine, "exe")).status_code == 404


def test_replies_and_new_comments_of_a_workbook_land_once(client, sheet):
    machine, _ = sheet
    data = filled(
        fetched(client, machine, "xlsx"),
        (uid(1), "reply", "Taken from the maker's drawing."),
        (uid(1), "reply code", "A"),
        ("new:1", "where", POINT),
        ("new:1", "field", "trip"),
        ("new:1", "proposed value", "45"),
        ("new:1", "comment", "Lower it."),
        ("new:1", "category", "safety"),
    )
    for counts in ((3, 1), (3, 1)):
        assert brought(client, machine, data).status_code == 302
        page = client.get(url("exchange", machine)).content.decode()
        assert "Lower it." in page or "here already" in page
        assert landed(client, machine).status_code == 302
        assert (Comment.objects.count(), Entry.objects.count()) == counts
    new = Comment.objects.get(number=3)
    assert (new.item, new.field, new.proposed, new.category) == (GROUP, "trip", 45.0, "SAFETY")
    assert (new.origin, new.state) == (Origin.WORKBOOK, State.OPEN)
    assert Comment.objects.get(number=1).state == State.ANSWERED


def test_every_problem_of_a_workbook_is_told_with_its_cell(client, sheet):
    machine, _ = sheet
    data = filled(
        fetched(client, machine, "xlsx"),
        (uid(1), "reply code", "A"),
        (uid(2), "reply", "=HYPERLINK(1)"),
        ("new:1", "where", "no such tag"),
        ("new:1", "comment", "Where is it?"),
        ("new:2", "comment", "When?"),
        ("new:2", "due", "tomorrow"),
        ("new:3", "category", "safety"),
        ("new:4", "comment", "This one is right."),
    )
    brought(client, machine, data)
    problems = {path: found for path, found, _ in StagedReview.objects.get().problems}
    first = next(r for r, (key, *_) in enumerate(_rows(data), 1) if key == uid(1))
    new = next(r for r, (key, *_) in enumerate(_rows(data), 1) if key == "new:1")
    assert set(problems) == {f"M{first}", f"M{first + 1}", f"C{new}", f"H{new + 1}", f"E{new + 2}"}
    assert "formula" in problems[f"M{first + 1}"]
    landed(client, machine)
    assert Comment.objects.count() == 3


def _rows(data):
    return load_workbook(BytesIO(data))["comments"].iter_rows(values_only=True)


def test_a_closed_comment_and_a_code_of_somebody_who_may_not_answer_are_refused(client, sheet):
    machine, _ = sheet
    data = filled(
        fetched(client, machine, "xlsx"),
        (uid(1), "reply", "And yet."),
        (uid(2), "reply", "Agreed."),
        (uid(2), "reply code", "A"),
    )
    Comment.objects.filter(number=1).update(state=State.CLOSED)
    client.force_login(member(machine.project, Role.REVIEWER))
    brought(client, machine, data)
    staged = StagedReview.objects.get()
    assert staged.lines == []
    assert [found for _, found, _ in staged.problems] == ['"A"', "a reply to comment 1, which is closed"]


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04junk", b"%PDF-1.4 nothing", b"MZ", b"PK" + b"\0" * 100])
def test_what_is_no_file_of_ours_is_refused_in_words(client, sheet, data):
    machine, _ = sheet
    response = brought(client, machine, data, name="x.bin")
    assert response.status_code == 422
    assert not StagedReview.objects.exists()


def test_a_workbook_of_another_machine_is_refused_and_one_of_an_earlier_draft_flagged(client, sheet):
    machine, _ = sheet
    data = fetched(client, machine, "xlsx")
    other, somebody = reviewed()
    client.force_login(somebody)
    assert brought(client, other, data).status_code == 422
    client.force_login(sheet[1])
    type(machine).objects.filter(pk=machine.pk).update(version=machine.version + 1)
    brought(client, machine, data)
    assert "is of the working draft" in client.get(url("exchange", machine)).content.decode()


# Returned copies


@cache
def datasheet(checksum):
    """Return the datasheet of a frozen content, set once: every test freezes the same machine."""
    return DOCUMENTS["datasheet"].render(content_of(checksum).proposal, Options(code=CODE, revision="A"))


@pytest.fixture
def issued(sheet):
    """Return a machine, its issued datasheet with a code, and the bytes of it."""
    machine, _ = sheet
    issue = issued_rows(machine)
    revision = Revision.objects.get(issue=issue)
    data = datasheet(revision.checksum)
    IssuedDocument.objects.create(
        issue=issue, revision=revision, key="schedules", number="NM-1", title="Datasheet",
        filename="d.pdf", media_type=PDF, code=CODE, file=stored(data),
    )  # fmt: skip
    return machine, revision, data


def noted(data, *notes):
    """Return a copy with annotations: sheet from 0, annotation."""
    writer = PdfWriter(clone_from=BytesIO(data))
    for page, note in notes:
        writer.add_annotation(page, note)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def drawn(kind, rect, text="", author="A. Reader", **more):
    return DictionaryObject(
        {
            NameObject("/Type"): NameObject("/Annot"),
            NameObject("/Subtype"): NameObject(kind),
            NameObject("/Rect"): ArrayObject(FloatObject(each) for each in rect),
            NameObject("/Contents"): TextStringObject(text),
            NameObject("/T"): TextStringObject(author),
            **{NameObject(f"/{name}"): value for name, value in more.items()},
        }
    )


def rect_of(row):
    return (row.left + 2, row.bottom + 1, row.right - 2, row.top - 1)


def row_of(sheets, item, field):
    for number, places in enumerate(sheets):
        for row in places.rows:
            if (row.item, row.field) == (item, field):
                return number, row
    raise LookupError(item)


def test_standard_annotations_land_on_their_items_once(client, issued):
    machine, revision, data = issued
    sheets = places_in(data)
    page, row = row_of(sheets, POINT, "")
    cell_page, cell = row_of(sheets, POINT, "trip")
    at, scene = next(
        (number, scene) for number, places in enumerate(sheets) for scene in places.scenes
        if scene.name == "layout"
    )  # fmt: skip
    left, top = scene.left + 30 * scene.scale, scene.top - 20 * scene.scale
    box = (left, top - 10 * scene.scale, left + 15 * scene.scale, top)
    copy = noted(
        data,
        (page, Text(rect=(row.left + 4, row.bottom + 2, row.left + 14, row.top - 2), text="Which probe?")),
        (cell_page, Highlight(rect=rect_of(cell), quad_points=quads_of(rect_of(cell)))),
        (page, drawn("/StrikeOut", rect_of(row), "Leave it out.", QuadPoints=quads_of(rect_of(row)))),
        (page, drawn("/Ink", rect_of(row), InkList=ArrayObject())),
        (page, FreeText(text="See the maker.", rect=rect_of(row))),
        (at, Rectangle(rect=box)),
        (at, drawn("/Circle", box, "Too near.")),
    )
    for _ in range(2):
        assert brought(client, machine, copy, "copy.pdf", audience=Audience.CLIENT).status_code == 302
        landed(client, machine)
        assert Comment.objects.filter(origin=Origin.COPY).count() == 7
    found = list(Comment.objects.filter(origin=Origin.COPY).order_by("number"))
    assert {comment.revision for comment in found} == {revision}
    assert {comment.audience for comment in found} == {Audience.CLIENT}
    assert found[0].text == "Which probe?"
    on_rows = {c.text: (c.item, c.field) for c in found if not c.scene}
    assert on_rows["Which probe?"] == (POINT, "")
    assert on_rows["Highlighted, without a word."] == (GROUP, "trip")
    assert on_rows["Leave it out."] == on_rows["See the maker."] == (POINT, "")
    assert on_rows["Drawn by hand, without a word."] == (POINT, "")
    framed = next(c for c in found if c.text == "Too near.")
    assert (framed.scene, framed.said_by) == ("arrangement", "A. Reader")
    assert (framed.x_mm, framed.y_mm) == pytest.approx((30, 20), abs=0.05)
    assert (framed.width_mm, framed.height_mm) == pytest.approx((15, 10), abs=0.05)


def test_a_mark_lands_on_every_drawing_of_the_datasheet_where_it_was_made(client, issued):
    machine, revision, data = issued
    sheets = enumerate(places_in(data))
    drawn_at = {scene.name: (number, scene) for number, places in sheets for scene in places.scenes}
    notes = []
    for name, (page, scene) in drawn_at.items():
        x, y = scene.left + 50 * scene.scale, scene.top - 40 * scene.scale
        notes.append((page, drawn("/Circle", (x, y - 5 * scene.scale, x + 9 * scene.scale, y), name)))
    assert brought(client, machine, noted(data, *notes), "copy.pdf").status_code == 302
    landed(client, machine)
    found = {comment.text: comment for comment in Comment.objects.filter(origin=Origin.COPY)}
    assert set(found) == set(drawn_at)
    proposal = content_of(revision.checksum).proposal
    for text, comment in found.items():
        assert scene_of(proposal, comment.scene).name == text
        place = (comment.x_mm, comment.y_mm, comment.width_mm, comment.height_mm)
        assert place == pytest.approx((50, 40, 9, 5), abs=0.05)


def test_every_difference_that_a_change_note_tells_is_under_a_key_that_comments_know():
    told = description("eight_stage")
    told["pinions"][0] |= {"diametral_clearance": "0.2 mm", "measured_runout": "8 um"}
    del told["pinions"][1]["axial_location"], told["safety"], told["installation"]
    trip = Override("P2/P2-1/radial", "trip", 40.0, "as agreed", "A. Writer", "2026-01-01T00:00:00")
    before, after = proposal("eight_stage"), propose_document(told, overrides=[trip])
    known = places_of(before).names.keys() | places_of(after).names.keys()
    lines = change_lines(compare(before, after))
    assert {"Setpoints", "Checks", "Open points", "Assumptions", "Bill", "Cause and effect"} <= lines.keys()
    assert {key for found in lines.values() for line in found for key in line.keys} - known == set()


def quads_of(rect):
    left, low, right, high = rect
    corners = (left, high, right, high, left, low, right, low)
    return ArrayObject(FloatObject(each) for each in corners)


def test_an_answer_to_a_remark_is_a_reply_in_its_row(client, issued):
    machine, _, data = issued
    page, row = row_of(places_in(data), POINT, "")
    writer = PdfWriter(clone_from=BytesIO(data))
    first = writer.add_annotation(page, drawn("/Text", rect_of(row), "Is this right?"))
    answer = drawn("/Text", rect_of(row), "It is.", author="B. Writer", IRT=first.indirect_reference)
    writer.add_annotation(page, answer)
    out = BytesIO()
    writer.write(out)
    for _ in range(2):
        brought(client, machine, out.getvalue(), "copy.pdf")
        landed(client, machine)
        comment = Comment.objects.get(origin=Origin.COPY)
        assert [(entry.text, entry.said_by) for entry in comment.entries.all()] == [("It is.", "B. Writer")]


def test_a_copy_of_a_superseded_revision_is_flagged_and_its_remarks_are_kept_as_of_it(client, issued):
    machine, revision, data = issued
    issued_rows(machine)
    page, row = row_of(places_in(data), POINT, "")
    brought(client, machine, noted(data, (page, drawn("/Text", rect_of(row), "Late."))), "copy.pdf")
    assert "superseded by revision" in client.get(url("exchange", machine)).content.decode()
    landed(client, machine)
    assert Comment.objects.get(origin=Origin.COPY).revision == revision


def test_pages_taken_out_of_a_copy_are_still_known_and_foreign_ones_told(client, issued):
    machine, _, data = issued
    page, row = row_of(places_in(data), POINT, "")
    writer = PdfWriter(clone_from=BytesIO(noted(data, (page, drawn("/Text", rect_of(row), "Here.")))))
    for number in reversed([n for n in range(len(writer.pages)) if n not in (page,)]):
        writer.remove_page(number)
    writer.add_blank_page(100, 100)
    writer.add_annotation(1, drawn("/Text", (1, 1, 9, 9), "Elsewhere."))
    out = BytesIO()
    writer.write(out)
    brought(client, machine, out.getvalue(), "copy.pdf")
    staged = StagedReview.objects.get()
    assert [(line["text"], line["place"]["item"]) for line in staged.lines] == [("Here.", POINT)]
    assert [path for path, _, _ in staged.problems] == ["page 2"]


@pytest.mark.parametrize(
    "broken",
    [
        {"Rect": ArrayObject()},
        {"Rect": ArrayObject([NullObject()] * 4)},
        {"Rect": ArrayObject([FloatObject(1e30)] * 4)},
        {"QuadPoints": ArrayObject([NumberObject(1)] * 5)},
        {"Contents": NumberObject(7)},
        {"T": ArrayObject()},
        {"IRT": NullObject()},
    ],
)
def test_broken_annotations_are_no_server_error(client, issued, broken):
    machine, _, data = issued
    copy = noted(data, (3, drawn("/Square", (1, 1, 9, 9), "<script>", **broken)))
    assert brought(client, machine, copy, "copy.pdf").status_code in (302, 422)
    assert "<script>" not in client.get(url("exchange", machine)).content.decode().partition("<main")[2]


def test_a_copy_is_of_this_machine_or_refused(client, issued):
    _, _, data = issued
    other, somebody = reviewed()
    client.force_login(somebody)
    assert brought(client, other, data, "copy.pdf").status_code == 422
    encrypted = PdfWriter(clone_from=BytesIO(data))
    encrypted.encrypt("x")
    out = BytesIO()
    encrypted.write(out)
    assert brought(client, other, out.getvalue(), "copy.pdf").status_code == 422


def test_what_was_staged_lands_once_and_can_be_dropped(client, issued):
    machine, _, data = issued
    copy = noted(data, (3, drawn("/Text", (1, 1, 9, 9), "On the sheet's margin.")))
    brought(client, machine, copy, "copy.pdf")
    shown = StagedReview.objects.get().brought_at.isoformat()
    client.post(url("exchange", machine), {"do": "drop"})
    assert client.post(url("exchange", machine), {"do": "land", "brought": shown}).status_code == 409
    assert not Comment.objects.filter(origin=Origin.COPY).exists()


def test_an_issued_sheet_with_marks_still_answers_whether_it_is_current(client, issued):
    machine, _, data = issued
    copy = noted(data, (3, drawn("/Text", (1, 1, 9, 9), "A remark.")))
    issued_rows(machine)
    response = client.post(reverse("revisions:sheet-find"), {"file": SimpleUploadedFile("d.pdf", copy)})
    assert response.status_code == 200
    page = response.content.decode()
    assert shown(CODE) in page
    assert "uperseded" in page
