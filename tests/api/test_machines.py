"""Machines and proposals by programs: the same services, rights and problems as the pages."""

import pytest

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.criteria.loader import Override as CriterionValue
from specapp.documents.registry import DOCUMENTS
from specapp.domain.proposal import proposal_bytes
from specapp.projects.deciding.criteria import criterion_set
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.revisions.services.distributing import Addressed, issue_distribute
from tests.api.asking import Program, paths
from tests.factories import NOW, ProjectFactory, machine_of, sample_description
from tests.revisions.issuing import described_anew, frozen, issued, sent, signed

pytestmark = pytest.mark.django_db
FOUR_FACTS = sample_description("minimal_process")


@pytest.fixture
def program():
    return Program(ProjectFactory())


def test_a_machine_is_added_read_listed_and_replaced(program):
    added = program.ask("POST", "/machines", FOUR_FACTS)
    assert added.status_code == 201
    machine = added.json()
    assert (machine["version"], machine["description"]) == (1, FOUR_FACTS)
    address = f"/machines/{machine['id']}"
    changed = FOUR_FACTS | {"title": "another"}
    replaced = program.ask("PUT", f"{address}?version=1", changed)
    assert (replaced.status_code, replaced.json()["version"]) == (200, 2)
    read = program.ask("GET", address).json()
    assert read["description"]["title"] == "another"
    listed = program.ask("GET", "/machines").json()
    assert (listed["count"], listed["pages"], listed["machines"][0]["tag"]) == (1, 1, FOUR_FACTS["tag"])
    done = AuditEntry.objects.filter(actor=program.person).values_list("action", flat=True)
    assert [action for action in done if not action.startswith("token.c")] == [
        "machine.create",
        "token.use",
        "machine.update",
        "token.use",
    ]


def test_an_earlier_version_does_not_replace_a_later_one(program):
    machine = machine_of(program.project, author=program.person)
    address = f"/machines/{machine.pk}?version=1"
    assert program.ask("PUT", address, FOUR_FACTS | {"title": "first"}).status_code == 200
    late = program.ask("PUT", address, FOUR_FACTS | {"title": "second"})
    assert (late.status_code, paths(late)) == (409, ["version"])
    machine.refresh_from_db()
    assert machine.description["title"] == "first"
    assert paths(program.ask("PUT", f"/machines/{machine.pk}", FOUR_FACTS)) == ["version"]


def test_a_tag_is_taken_once(program):
    machine_of(program.project, author=program.person)
    taken = program.ask("POST", "/machines", FOUR_FACTS)
    assert (taken.status_code, paths(taken)) == (409, ["tag"])


def test_every_problem_comes_at_once_and_nothing_is_saved(program):
    wrong = FOUR_FACTS | {"stage_count": 40, "pinions": [{"speed": "fast"}], "made_up": 1}
    for method, address in (("POST", "/machines"), ("POST", "/machines/validate"), ("POST", "/proposals")):
        answer = program.ask(method, address, wrong)
        assert answer.status_code == 422
        assert set(paths(answer)) == {"stage_count", "pinions[0].speed", "made_up"}
    assert all({"path", "found", "allowed"} <= set(each) for each in answer.json()["problems"])
    assert not Machine.objects.exists()
    assert program.ask("POST", "/machines/validate", FOUR_FACTS).json() == {"problems": []}
    assert not Machine.objects.exists()


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"{",
        b"\xff\xfe",
        b"[" * 100_000,
        b'"a"',
        b'{"tag": "a", "tag": "b"}',
        b'{"tag": "\\ud800"}',
        b"1e999",
    ],
)
def test_whatever_is_sent_is_answered_with_problems(program, body):
    machine = machine_of(program.project, author=program.person)
    for method, address in (
        ("POST", "/machines"),
        ("PUT", f"/machines/{machine.pk}?version=1"),
        ("POST", "/proposals"),
        ("POST", f"/machines/{machine.pk}/comments"),
    ):
        answer = program.ask(method, address, body)
        assert answer.status_code == 422
        assert answer.json()["problems"]


def test_a_body_that_is_too_large_is_refused(program):
    answer = program.ask("POST", "/proposals", b" " * 2_200_000)
    assert answer.status_code == 413
    assert paths(answer) == ["document"]


def test_a_proposal_rests_on_the_projects_criteria_and_saves_nothing(program):
    before = program.ask("POST", "/proposals", FOUR_FACTS)
    criterion_set(
        project=program.project,
        key="radial.trip_multiple",
        value=CriterionValue(2.0, "the owner's practice"),
        expected_row=None,
        author=program.person,
        now=NOW,
    )
    after = program.ask("POST", "/proposals", FOUR_FACTS)
    assert before.json()["format"] == after.json()["format"] == "proposal/1"
    assert before.content != after.content
    assert not Machine.objects.exists()


def test_a_stored_machine_gives_its_proposal_and_documents(program):
    machine = machine_of(program.project, author=program.person)
    given = program.ask("GET", f"/machines/{machine.pk}/proposal")
    assert given.content == proposal_bytes(machine_proposal(machine))
    listed = program.ask("GET", f"/machines/{machine.pk}/documents").json()["documents"]
    assert [each["key"] for each in listed] == list(DOCUMENTS)
    points = program.ask("GET", f"/machines/{machine.pk}/documents/points")
    assert points.headers["Content-Disposition"] == 'attachment; filename="K-1210_points.csv"'
    assert points.content.startswith(b"\xef\xbb\xbfTag,")
    assert program.ask("GET", f"/machines/{machine.pk}/documents/none").status_code == 404


def test_issued_revisions_and_documents_are_given_byte_for_byte(program):
    machine = machine_of(program.project, author=program.person)
    revision = frozen(machine)
    signed(revision)
    sent([revision])
    address = f"/machines/{machine.pk}/revisions"
    (row,) = program.ask("GET", address).json()["revisions"]
    assert (row["state"], row["label"], row["sha256"]) == ("ISSUED", revision.label, revision.content_id)
    whole = program.ask("GET", f"{address}/{revision.pk}").json()
    assert whole["signatures"]
    content = program.ask("GET", f"{address}/{revision.pk}/content")
    assert content.json()["format"] == "revision/1"
    documents = program.ask("GET", "/documents").json()["documents"]
    assert {each["id"] for each in whole["documents"]} < {each["id"] for each in documents}
    issued = revision.documents.get(key="points")
    stored = program.ask("GET", f"/documents/{issued.pk}")
    assert stored.content == bytes(issued.file.content)


def test_a_maker_is_given_what_was_sent_to_him_as_on_the_pages(program):
    """The proposal is kept inside, and by what a sheet is superseded is told once that was sent, too."""
    machine = machine_of(program.project, author=program.person)
    maker = Program(program.project, Role.MAKER)
    first = issued(machine)

    def listed():
        return {row["id"]: row for row in maker.ask("GET", "/documents").json()["documents"]}

    points = first.documents.get(key="points")
    assert listed() == {}
    assert maker.ask("GET", f"/documents/{points.pk}").status_code == 404
    to = {"addressed": [Addressed(role=Role.MAKER)], "author": program.person, "now": NOW}
    issue_distribute(issue=first, **to)
    kept = first.documents.get(key="proposal")
    assert set(listed()) == set(first.documents.exclude(pk=kept.pk).values_list("pk", flat=True))
    assert maker.ask("GET", f"/documents/{kept.pk}").status_code == 403
    assert maker.ask("GET", f"/documents/{points.pk}").content == bytes(points.file.content)
    described_anew(machine, program.person, service="another service")
    second = issued(machine)
    row = listed()[points.pk]
    assert (row["is_superseded"], row["superseded_by"]) == (True, None)
    issue_distribute(issue=second, **to)
    assert listed()[points.pk]["superseded_by"] == second.revisions.get().label
