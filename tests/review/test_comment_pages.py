"""The comment sheet and its pages: marks on drawings, forms without scripts, audiences, hostile text."""

import re
from urllib.parse import quote

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from specapp.core.roles import Role
from specapp.drawings.review_marks import Mark, place_of, with_marks
from specapp.projects.deciding.ground import machine_proposal
from specapp.review.models import Audience, Comment, State
from specapp.review.places import ARRANGEMENT, scene_choices, scene_of
from specapp.review.services.comments import Place, Source
from specapp.revisions.services.distributing import Addressed, issue_distribute
from tests.factories import NOW, UserFactory, member
from tests.review.addresses import asked
from tests.review.commenting import GROUP, POINT, TEXT, commented, posted, proposing, reviewed
from tests.revisions.issuing import issued

pytestmark = pytest.mark.django_db

HOSTILE = "<script>alert(1)</script><b onmouseover=x>\"'&"


def url(name, machine, *more):
    return reverse(f"review:{name}", args=[machine.project_id, machine.pk, *more])


@pytest.fixture
def machine_and_person(client):
    machine, person = reviewed()
    client.force_login(person)
    return machine, person


def test_a_point_placed_on_the_drawing_is_kept_in_millimetres_and_drawn(client, machine_and_person):
    machine, _ = machine_and_person
    told = posted(scene=ARRANGEMENT, x_mm="120.5", y_mm="60.25")
    response = client.post(url("comment-new", machine), told)
    comment = Comment.objects.get()
    assert response.status_code == 302
    assert response.url.endswith("#c1")
    assert (comment.x_mm, comment.y_mm, comment.is_frame) == (120.5, 60.25, False)
    page = client.get(response.url.partition("#")[0]).content.decode()
    assert re.search(r'<circle cx="120.5" cy="60.25" r="0.7"', page)
    assert 'id="c1"' in page


def test_a_frame_keeps_its_size_and_stays_on_the_sheet(client, machine_and_person):
    machine, _ = machine_and_person
    told = posted(scene="trips", x_mm="10", y_mm="20", width_mm="4000", height_mm="12.5")
    client.post(url("comment-new", machine), told)
    comment = Comment.objects.get()
    scene = scene_of(machine_proposal(machine), "trips")
    assert comment.height_mm == 12.5
    assert comment.x_mm + comment.width_mm == pytest.approx(scene.width)


def test_without_scripts_the_mark_stands_at_the_item_chosen(client, machine_and_person):
    machine, _ = machine_and_person
    client.post(url("comment-new", machine), posted(scene=ARRANGEMENT, item=POINT))
    comment = Comment.objects.get()
    assert (comment.x_mm, comment.y_mm) == pytest.approx(
        place_of(scene_of(machine_proposal(machine), ARRANGEMENT), POINT), abs=0.01
    )


def test_a_setpoint_proposed_on_a_point_belongs_to_its_group(client, machine_and_person):
    machine, _ = machine_and_person
    client.post(url("comment-new", machine), posted(item=POINT, field="trip", value="1.8 mil"))
    comment = Comment.objects.get()
    assert (comment.item, comment.field) == (GROUP, "trip")
    assert comment.proposed == pytest.approx(1.8 * 25.4)
    assert comment.proposed_text == "1.8 mil"


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"text": ""}, "text"),
        ({"item": POINT, "field": "trip", "value": "much"}, "value"),
        ({"item": POINT, "field": "trip", "value": "-3"}, "value"),
        ({"value": "45"}, "field"),
        ({"field": "trip", "value": "45"}, "item"),
        ({"item": GROUP, "field": "angle", "value": "45"}, "field"),
        ({"item": "no/such/item"}, "item"),
        ({"audience": "EVERYBODY"}, "audience"),
        ({"due_date": "03/04/2026"}, "due_date"),
        ({"scene": ARRANGEMENT, "x_mm": "5"}, "x_mm"),
        ({"scene": ARRANGEMENT, "x_mm": "nan", "y_mm": "1"}, "x_mm"),
    ],
)
def test_what_is_wrong_is_said_at_the_field_and_nothing_is_lost(client, machine_and_person, told, field):
    machine, _ = machine_and_person
    response = client.post(url("comment-new", machine), posted(**told))
    assert response.status_code == 422
    assert list(response.context["form"].errors) == [field]
    assert told.get("text", TEXT) in response.content.decode().replace("&#x27;", "'")
    assert not Comment.objects.exists()


@pytest.mark.parametrize("scene", ["no-such", "setpoints/P9", "<b>"])
def test_an_unknown_drawing_is_not_found_or_left_out(client, machine_and_person, scene):
    machine, _ = machine_and_person
    assert client.get(f"{url('comment-list', machine)}?on={quote(scene)}").status_code == 404
    client.post(url("comment-new", machine), posted(scene=scene, x_mm="1", y_mm="1"))
    assert Comment.objects.get().scene == ""


def test_every_drawing_can_be_marked(client, machine_and_person):
    machine, _ = machine_and_person
    for name, _title in scene_choices(machine_proposal(machine)):
        page = client.get(url("comment-list", machine), {"on": name})
        assert b"data-mark-here" in page.content


def test_a_mark_of_a_changed_drawing_says_so(client, machine_and_person):
    machine, person = machine_and_person
    commented(machine, person, Place(scene=ARRANGEMENT, scene_digest="0" * 16, x_mm=9.0, y_mm=9.0))
    assert b"drawing changed since" in client.get(url("comment-list", machine)).content


def test_marks_do_not_cover_each_other():
    machine, _ = reviewed()
    scene = scene_of(machine_proposal(machine), ARRANGEMENT)
    marked = with_marks(scene, [Mark(number, 50.0, 50.0) for number in range(1, 40)])
    boxes = [
        (shape.x, shape.y, shape.width)
        for group in marked.shapes[len(scene.shapes) :]
        for shape in group.shapes
        if type(shape).__name__ == "Rect"
    ]
    assert len(boxes) == 39
    assert all(
        abs(a[1] - b[1]) >= 4.6 or abs(a[0] - b[0]) >= min(a[2], b[2])
        for i, a in enumerate(boxes)
        for b in boxes[:i]
    )


READERS = {
    Role.OWNER: {"INTERNAL", "CLIENT", "MAKER"},
    Role.ENGINEER: {"INTERNAL", "CLIENT", "MAKER"},
    Role.REVIEWER: {"INTERNAL", "CLIENT", "MAKER"},
    Role.APPROVER: {"INTERNAL", "CLIENT", "MAKER"},
    Role.EVALUATOR: {"INTERNAL", "CLIENT", "MAKER"},
    Role.BUYER: {"INTERNAL", "CLIENT", "MAKER"},
    Role.READER: {"INTERNAL", "CLIENT", "MAKER"},
    Role.CLIENT: {"CLIENT"},
    Role.MAKER: {"MAKER"},
    Role.BIDDER: None,
}


@pytest.mark.parametrize("role", Role)
def test_each_role_reads_what_is_addressed_to_it_and_nothing_else(client, role):
    machine, _ = reviewed()
    numbers = {}
    for audience in Audience.values:
        comment = proposing(machine, text=f"value-{audience}", value=f"{audience}", audience=audience)
        comment.attachments.create(
            name="a.txt",
            kind="txt",
            size=1,
            sha256="",
            content=b"a",
            author=comment.author,
            added_at=comment.written_at,
        )
        numbers[audience] = comment
    client.force_login(member(machine.project, role))
    page = client.get(url("comment-list", machine))
    if READERS[role] is None:
        assert page.status_code == 403
        return
    seen = page.content.decode()
    for audience, comment in numbers.items():
        allowed = audience in READERS[role]
        assert (f"value-{audience}" in seen) is allowed
        one = client.get(url("comment-show", machine, comment.number))
        assert (one.status_code == 200) is allowed
        for other in set(Audience.values) - READERS[role]:
            assert f"value-{other}" not in one.content.decode()
        answer = client.post(url("comment-show", machine, comment.number), {"do": "reply", "text": "x"})
        assert allowed or answer.status_code == 404
        paper = client.get(url("attachment-show", machine, comment.number, comment.attachments.get().pk))
        assert (paper.status_code == 200) is allowed
    fragment = client.get(url("comment-news", machine), {"after": "0"}, headers={"HX-Request": "true"})
    assert f"{len(READERS[role])} new, show" in fragment.content.decode()


def test_people_outside_read_what_they_wrote_themselves_and_address_their_own_side(client):
    machine, _ = reviewed()
    maker = member(machine.project, Role.MAKER)
    asked(machine, [maker])
    client.force_login(maker)
    assert client.post(url("comment-new", machine), posted(audience="CLIENT")).status_code == 422
    assert client.post(url("comment-new", machine), posted(audience="MAKER", item=POINT)).status_code == 302
    comment = Comment.objects.get()
    assert comment.item == ""
    page = client.get(url("comment-list", machine)).content.decode()
    assert TEXT.replace("'", "&#x27;") in page
    assert "<svg" not in page


def test_a_machine_that_does_not_concern_a_person_outside_is_not_found(client):
    machine, _ = reviewed()
    commented(machine, audience="INTERNAL")
    sheet, new = url("comment-list", machine), url("comment-new", machine)
    for role in (Role.MAKER, Role.CLIENT):
        person = member(machine.project, role)
        client.force_login(person)
        for page in (sheet, new, url("round-list", machine)):
            answer = client.get(page)
            assert answer.status_code == 404
            assert machine.tag not in answer.content.decode()
        assert client.post(new, posted(audience=role.value)).status_code == 404
    issue = issued(machine)
    assert client.get(sheet).status_code == 404
    to = [Addressed(person=person)]
    issue_distribute(issue=issue, addressed=to, author=issue.issued_by, now=NOW)
    assert client.get(sheet).status_code == 200


def test_a_reader_reads_and_writes_nothing(client):
    machine, _ = reviewed()
    comment = commented(machine)
    client.force_login(member(machine.project, Role.READER))
    assert client.get(url("comment-show", machine, comment.number)).status_code == 200
    assert (
        client.post(url("comment-show", machine, comment.number), {"do": "reply", "text": "x"}).status_code
        == 403
    )
    assert client.get(url("comment-new", machine)).status_code == 403


def step(client, machine, number, do, **more):
    version = Comment.objects.get(machine=machine, number=number).version
    told = {"do": do, "version": version, "machine_version": machine.version, **more}
    return client.post(url("comment-show", machine, number), told)


def test_a_comment_is_answered_adopted_and_closed_on_its_page(client, machine_and_person):
    machine, _ = machine_and_person
    proposing(machine)
    assert step(client, machine, 1, "reply", text="Agreed.", code="A").status_code == 302
    assert step(client, machine, 1, "adopt").status_code == 302
    assert step(client, machine, 1, "close").status_code == 422
    assert step(client, machine, 1, "close", reason="Agreed on the telephone.").status_code == 302
    comment = Comment.objects.get()
    assert comment.state == State.CLOSED
    assert comment.adopted.value == 45.0
    page = client.get(url("comment-show", machine, 1)).content.decode()
    assert "closed on behalf" in page
    assert step(client, machine, 1, "reply", text="More.").status_code == 409
    assert step(client, machine, 1, "dance").status_code == 422
    assert step(client, machine, 1, "reopen", reason="Once more.").status_code == 302


def test_a_reviewer_answers_without_a_code_and_does_not_adopt(client):
    machine, person = reviewed(Role.REVIEWER)
    proposing(machine)
    client.force_login(person)
    assert step(client, machine, 1, "reply", text="I agree.").status_code == 302
    assert step(client, machine, 1, "reply", text="I agree.", code="A").status_code == 403
    assert step(client, machine, 1, "adopt").status_code == 403
    assert step(client, machine, 1, "close", reason="x").status_code == 409


def test_an_unknown_code_and_an_old_page_are_told(client, machine_and_person):
    machine, _ = machine_and_person
    commented(machine)
    assert step(client, machine, 1, "reply", text="x", code="Z").status_code == 422
    old = step(client, machine, 1, "reply", text="what I typed", version=7)
    assert old.status_code == 409
    assert b"what I typed" in old.content


def test_adopting_on_an_old_machine_page_is_told(client, machine_and_person):
    machine, _ = machine_and_person
    proposing(machine)
    assert step(client, machine, 1, "adopt", machine_version=99).status_code == 409
    assert Comment.objects.get().adopted is None


def test_hostile_text_is_text(client, machine_and_person):
    machine, person = machine_and_person
    person.name = HOSTILE
    person.save()
    comment = commented(
        machine, person, Place(item=HOSTILE, note=HOSTILE), text=HOSTILE, source=Source(person=HOSTILE)
    )
    comment.attachments.create(
        name=HOSTILE, kind="txt", size=1, sha256="", content=b"a", author=person, added_at=comment.written_at
    )
    step(client, machine, 1, "reply", text=HOSTILE)
    for address in (url("comment-list", machine), url("comment-show", machine, 1)):
        page = client.get(address).content.decode()
        assert "<script>alert" not in page
        assert "<b onmouseover" not in page


def test_an_attachment_is_downloaded_never_shown(client, machine_and_person):
    machine, _ = machine_and_person
    upload = SimpleUploadedFile("page.html", b"<script>alert(1)</script>", content_type="text/html")
    client.post(url("comment-new", machine), posted(attachment=upload))
    paper = Comment.objects.get().attachments.get()
    response = client.get(url("attachment-show", machine, 1, paper.pk))
    assert response.headers["Content-Type"] == "application/octet-stream"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Content-Disposition"] == 'attachment; filename="page.txt"'
    assert response.content == b"<script>alert(1)</script>"
    bad = SimpleUploadedFile("a.pdf", b"MZ\0")
    assert client.post(url("comment-new", machine), posted(attachment=bad)).status_code == 422


def test_news_counts_the_comments_of_others(client, machine_and_person):
    machine, person = machine_and_person
    commented(machine, person)
    for _ in range(3):
        commented(machine)
    address = url("comment-news", machine)
    told = client.get(address, {"after": "1"}, headers={"HX-Request": "true"}).content.decode()
    assert "3 new, show" in told
    assert (
        "new, show"
        not in client.get(address, {"after": "4"}, headers={"HX-Request": "true"}).content.decode()
    )
    shown = client.get(address, {"after": "1"})
    assert shown.status_code == 302
    assert shown.url.endswith("#c2")
    assert client.get(address, {"after": "x" * 40}).status_code == 302


def test_what_is_typed_outlives_an_expired_sign_in(client):
    machine, person = reviewed()
    address = url("comment-new", machine)
    client.get(address)
    client.post(address, posted(text="Typed before the sign-in ran out."))
    client.force_login(person)
    session = client.session
    session["interrupted_form"] = {"path": address, "body": "text=Typed+before&scene=arrangement"}
    session.save()
    assert b"Typed before" in client.get(address).content


SHEET_QUERIES = 17


@pytest.mark.parametrize("count", [3, 100])
def test_the_sheet_takes_a_fixed_number_of_queries(
    client, machine_and_person, count, django_assert_num_queries
):
    machine, person = machine_and_person
    for number in range(count):
        comment = commented(machine, UserFactory() if number % 7 == 0 else person)
        comment.entries.create(step="REPLY", text="x", author=person, written_at=comment.written_at)
    address = url("comment-list", machine)
    client.get(address)
    with django_assert_num_queries(SHEET_QUERIES):
        client.get(address)


def test_filters_show_what_they_say(client, machine_and_person):
    machine, person = machine_and_person
    commented(machine, person, text="one of mine")
    commented(machine, text="of another")
    address = url("comment-list", machine)
    mine = client.get(address, {"mine": "1"}).content
    assert b"one of mine" in mine
    assert b"of another" not in mine
    assert b"one of mine" not in client.get(address, {"state": "CLOSED"}).content
    assert client.get(address, {"state": "nonsense", "page": "x"}).status_code == 200
