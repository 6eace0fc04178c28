"""Comments by programs: posted, listed and answered under the rules of the comment sheet."""

import pytest

from specapp.core.roles import Role
from specapp.review.attachments import LARGEST_BYTES, MOST_OF_A_COMMENT
from specapp.review.models import Audience, Comment, State
from tests.api.asking import Program, paths
from tests.factories import ProjectFactory, machine_of
from tests.review.commenting import GROUP, POINT, TEXT, commented

pytestmark = pytest.mark.django_db


@pytest.fixture
def program():
    return Program(ProjectFactory())


@pytest.fixture
def machine(program):
    return machine_of(program.project, author=program.person)


@pytest.fixture
def address(machine):
    return f"/machines/{machine.pk}/comments"


def test_a_comment_with_a_proposed_value_and_a_spot_is_kept_and_answered(program, address):
    said = {
        "text": "first line\nsecond line",
        "audience": "INTERNAL",
        "item": POINT,
        "field": "trip",
        "value": "45",
    }
    spot = {"drawing": "arrangement", "x_mm": 30, "y_mm": 40, "width_mm": 20, "height_mm": 10}
    written = program.ask("POST", address, said | {"spot": spot})
    assert written.status_code == 201
    comment = written.json()
    assert (comment["number"], comment["item"], comment["proposed"]) == (1, GROUP, 45.0)
    assert comment["spot"] == spot
    replied = program.ask("POST", f"{address}/1/replies", {"version": 1, "text": "done", "code": "A"})
    assert (replied.status_code, replied.json()["state"]) == (201, "ANSWERED")
    again = program.ask("POST", f"{address}/1/replies", {"version": 1, "text": "late"})
    assert (again.status_code, paths(again)) == (409, ["version"])
    assert program.ask("GET", f"{address}/1").json()["entries"][0]["code"] == "A"
    assert program.ask("GET", f"{address}?state=OPEN").json()["count"] == 0
    assert program.ask("GET", f"{address}?state=ANSWERED").json()["count"] == 1
    assert program.ask("GET", f"{address}/2").status_code == 404


def test_every_problem_of_a_comment_comes_at_once(program, address):
    types = {"text": "", "audience": 3, "due_date": "soon", "made_up": 1, "item": "a\nb"}
    assert set(paths(program.ask("POST", address, types))) == {"text", *list(types)[1:]}
    values = {"text": TEXT, "audience": "NOBODY", "item": "none such", "value": "45"}
    assert set(paths(program.ask("POST", address, values))) == {"audience", "item", "field"}
    number = {"text": TEXT, "audience": "INTERNAL", "item": GROUP, "field": "trip", "value": "many"}
    assert paths(program.ask("POST", address, number)) == ["value"]
    assert not Comment.objects.exists()


def test_a_reply_code_is_given_by_whoever_answers_comments(machine, address):
    commented(machine)
    reviewer = Program(machine.project, Role.REVIEWER)
    told = {"version": 1, "text": "yes"}
    assert reviewer.ask("POST", f"{address}/1/replies", told | {"code": "A"}).status_code == 403
    assert reviewer.ask("POST", f"{address}/1/replies", told).status_code == 201
    engineer = Program(machine.project)
    unknown = engineer.ask("POST", f"{address}/1/replies", {"version": 2, "text": "yes", "code": "Z"})
    assert (unknown.status_code, paths(unknown)) == (422, ["code"])


def test_people_outside_read_and_write_only_what_is_for_them(machine, address):
    commented(machine, audience=Audience.INTERNAL)
    commented(machine, audience=Audience.MAKER)
    maker = Program(machine.project, Role.MAKER)
    assert [each["number"] for each in maker.ask("GET", address).json()["comments"]] == [2]
    assert maker.ask("GET", f"{address}/1").status_code == 404
    assert maker.ask("POST", address, {"text": TEXT, "audience": "MAKER"}).status_code == 201
    wrong = maker.ask("POST", address, {"text": TEXT, "audience": "INTERNAL", "item": POINT})
    assert set(paths(wrong)) == {"audience", "item"}


def attached(program, address, content, name="note.pdf", **more):
    return program.client.post(
        f"/api/1/projects/{program.project.pk}{address}/1/attachments?name={name}",
        data=content,
        content_type=more.pop("content_type", "application/octet-stream"),
        headers={"authorization": f"Bearer {program.secret}"},
        **more,
    )


def test_an_attachment_is_kept_by_its_content_and_read_back_byte_for_byte(program, machine, address):
    comment = commented(machine)
    # Larger than a document may be, which is held in memory as a whole.
    png = b"\x89PNG\r\n\x1a\n" + bytes(3_000_000)
    kept = attached(program, address, png, "../a photo.exe")
    assert (kept.status_code, kept.json()["name"]) == (201, "a-photo.png")
    assert program.ask("GET", f"{address}/1").json()["attachments"] == [kept.json()]
    read = program.ask("GET", f"{address}/1/attachments/{kept.json()['id']}")
    assert read.content == png
    assert read.headers["Content-Disposition"] == 'attachment; filename="a-photo.png"'
    assert program.ask("GET", f"{address}/1/attachments/{kept.json()['id'] + 1}").status_code == 404
    assert comment.attachments.count() == 1


@pytest.mark.parametrize(
    ("content", "more", "status", "path"),
    [
        (b"", {}, 422, "attachment"),
        (b"MZ\x00\x01", {}, 422, "attachment"),
        (b"x" * (LARGEST_BYTES + 1), {}, 413, "attachment"),
        (b"--x", {"content_type": "multipart/form-data; boundary=x"}, 422, "Content-Type"),
        (b"fine", {"name": ""}, 422, "name"),
    ],
)
def test_an_attachment_that_is_refused_says_why(program, machine, address, content, more, status, path):
    comment = commented(machine)
    answer = attached(program, address, content, **more)
    assert (answer.status_code, paths(answer)) == (status, [path])
    assert not comment.attachments.exists()


def test_attachments_are_few_and_none_come_to_a_closed_comment(program, machine, address):
    comment = commented(machine)
    assert attached(program, address, b"x" * LARGEST_BYTES).status_code == 201
    for _ in range(MOST_OF_A_COMMENT - 1):
        assert attached(program, address, b"plain", "a.txt").status_code == 201
    assert attached(program, address, b"plain").status_code == 409
    comment.attachments.all().delete()
    Comment.objects.update(state=State.CLOSED)
    assert attached(program, address, b"plain").status_code == 409
    reader = Program(machine.project, Role.READER)
    assert attached(reader, address, b"plain").status_code == 403
    stranger = Program(ProjectFactory())
    assert attached(stranger, address, b"plain").status_code == 404
