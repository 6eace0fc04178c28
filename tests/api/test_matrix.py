"""Who gets what of the interface: every operation and every role, as the pages give it."""

import pytest

from specapp.api.interface import interface
from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.review.attachments import paper_of
from specapp.review.services.comments import comment_attach
from specapp.revisions.services.distributing import Addressed
from specapp.revisions.services.issuing import Sending
from tests.api.asking import Program
from tests.factories import NOW, ProjectFactory, machine_of, sample_description
from tests.review.commenting import TEXT, commented
from tests.revisions.issuing import frozen, sent, signed

READS, READS_ISSUED, EDITS = "reads", "reads what is issued", "edits"
COMMENTS, READS_COMMENTS = "comments", "reads comments"
OUTSIDE = {Role.MAKER, Role.CLIENT, Role.BIDDER}
MAY = {
    READS: set(Role) - OUTSIDE,
    READS_ISSUED: set(Role) - {Role.BIDDER},
    EDITS: {Role.OWNER, Role.ENGINEER},
    COMMENTS: {Role.OWNER, Role.ENGINEER, Role.REVIEWER, Role.APPROVER, Role.CLIENT, Role.MAKER},
    READS_COMMENTS: set(Role) - {Role.BIDDER},
}
MACHINE = "/machines/{machine}"
# Per operation: what it needs, its address below the project's, its body, and what it answers to who may.
OPERATIONS = {
    "machine_list": (READS, "GET", "/machines", None, 200),
    "machine_add": (EDITS, "POST", "/machines", "machine", 201),
    "machine_validate": (READS, "POST", "/machines/validate", "machine", 200),
    "machine_read": (READS, "GET", MACHINE, None, 200),
    "machine_replace": (EDITS, "PUT", f"{MACHINE}?version=9", "machine", 409),
    "proposal_read": (READS, "GET", f"{MACHINE}/proposal", None, 200),
    "propose": (READS, "POST", "/proposals", "machine", 200),
    "revision_list": (READS, "GET", f"{MACHINE}/revisions", None, 200),
    "revision_read": (READS, "GET", f"{MACHINE}/revisions/{{revision}}", None, 200),
    "revision_content": (READS, "GET", f"{MACHINE}/revisions/{{revision}}/content", None, 200),
    "working_document_list": (READS, "GET", f"{MACHINE}/documents", None, 200),
    "working_document": (READS, "GET", f"{MACHINE}/documents/points", None, 200),
    "issued_document_list": (READS_ISSUED, "GET", "/documents", None, 200),
    "issued_document": (READS_ISSUED, "GET", "/documents/{document}", None, 200),
    "comment_list": (READS_COMMENTS, "GET", f"{MACHINE}/comments", None, 200),
    "comment_read": (READS_COMMENTS, "GET", f"{MACHINE}/comments/1", None, 200),
    "comment_write": (COMMENTS, "POST", f"{MACHINE}/comments", "comment", 201),
    "comment_answer": (COMMENTS, "POST", f"{MACHINE}/comments/1/replies", "reply", 409),
    "comment_paper_add": (COMMENTS, "POST", f"{MACHINE}/comments/1/attachments?name=a.txt", "nothing", 422),
    "comment_paper": (READS_COMMENTS, "GET", f"{MACHINE}/comments/1/attachments/{{paper}}", None, 200),
}


def test_every_operation_is_in_the_matrix():
    document = interface.get_openapi_schema()
    found = {facts["operationId"] for methods in document["paths"].values() for facts in methods.values()}
    assert found - {"token_read"} == set(OPERATIONS)


@pytest.fixture
def places(db):
    project = ProjectFactory()
    machine = machine_of(project)
    revision = frozen(machine)
    signed(revision)
    to = (Addressed(role=Role.MAKER), Addressed(role=Role.CLIENT))
    sent([revision], sending=Sending("Maker and client (invented)", distribution=to))
    # For the maker, whom everybody inside may read too; the client reads what he wrote himself.
    comment = commented(machine, audience="MAKER")
    paper = comment_attach(comment=comment, paper=paper_of("a.txt", b"a"), author=comment.author, now=NOW)
    document = revision.documents.get(key="points")
    return project, {
        "machine": machine.pk,
        "revision": revision.pk,
        "document": document.pk,
        "paper": paper.pk,
    }


def test_each_role_gets_what_it_gets_on_the_pages(places):
    project, numbers = places
    stranger = Program(ProjectFactory(), Role.OWNER)
    for role in Role:
        program = Program(project, role)
        for name, (need, method, address, kind, answer) in OPERATIONS.items():
            body = {
                None: None,
                "machine": sample_description("minimal_process") | {"tag": f"K-{role.label}"},
                "comment": {"text": TEXT, "audience": "CLIENT" if role == Role.CLIENT else "MAKER"},
                "reply": {"version": 9, "text": TEXT},
                "nothing": b"",
            }[kind]
            at = address.format(**numbers)
            # What is addressed to the maker does not exist for the client.
            hidden = role == Role.CLIENT and name.startswith("comment_") and "/comments/1" in address
            expected = 404 if hidden else answer if role in MAY[need] else 403
            assert program.ask(method, at, body).status_code == expected, (role, name)
            if role == Role.OWNER:
                assert stranger.ask(method, at, body, project=project).status_code == 404, name


@pytest.mark.parametrize(
    ("method", "address", "allowed"),
    [
        ("DELETE", "/machines", "GET, HEAD, POST"),
        ("PATCH", "/machines/1/comments/1/replies", "POST"),
        ("POST", "/documents", "GET, HEAD"),
    ],
)
def test_a_wrong_method_is_a_problem_like_any_other(db, method, address, allowed):
    answer = Program(ProjectFactory()).ask(method, address)
    assert answer.status_code == 405
    assert answer.headers["Allow"] == allowed
    (problem,) = answer.json()["problems"]
    assert (problem["path"], problem["allowed"]) == ("method", allowed)


def _told(answer):
    """Return what an answer says beside its body; the number of the request is each request's own."""
    own = ("X-Request-ID",)
    return answer.status_code, {name: text for name, text in answer.headers.items() if name not in own}


def test_every_address_answers_head_as_get_without_a_body(places, client):
    project, numbers = places
    program, reader = Program(project), Program(project, Role.BIDDER)
    read = 0
    for name, (_, method, address, _, answer) in OPERATIONS.items():
        at = address.format(**numbers)
        head = program.ask("HEAD", at)
        assert head.content == b"", name
        if method == "GET":
            read += 1
            get = program.ask("GET", at)
            assert _told(head) == _told(get), name
            assert (head.status_code, head.headers["Content-Length"]) == (answer, str(len(get.content))), name
            assert reader.ask("HEAD", at).status_code == 403, name
        elif program.ask("GET", at).status_code == 405:
            assert (head.status_code, head.headers["Allow"]) == (405, method), name
    assert read == 13
    # What leaves no file is no download.
    assert AuditEntry.objects.filter(action="file.download").count() == 4
    mine = {"authorization": f"Bearer {program.secret}"}
    assert _told(client.head("/api/1/token", headers=mine)) == _told(client.get("/api/1/token", headers=mine))
    assert client.head("/api/1/openapi.json").content == b""
    assert _told(client.head("/api/1/openapi.json")) == _told(client.get("/api/1/openapi.json"))
    assert client.head(f"/api/1/projects/{project.pk}/machines").status_code == 401
    assert client.head("/api/1/nothing").status_code == 404


def test_the_document_of_the_interface_is_read_and_nothing_else(client):
    assert client.get("/api/1/openapi.json").json()["info"]["version"] == "1"
    answer = client.post("/api/1/openapi.json")
    assert (answer.status_code, answer.json()["problems"][0]["path"]) == (405, "method")
