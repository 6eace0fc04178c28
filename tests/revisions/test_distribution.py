"""Issues reach whom they were sent to, and nobody else; later additions leave what was issued as it is."""

from datetime import timedelta
from io import BytesIO
from zipfile import ZipFile

import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse
from pypdf import PdfReader

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.projects.models import Membership
from specapp.revisions.errors import Refused
from specapp.revisions.models import Receipt, Recipient
from specapp.revisions.readers import issues_read_by
from specapp.revisions.services.distributing import Addressed, issue_distribute, issue_receive
from specapp.revisions.waiting import waiting_for_person
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.revisions.issuing import SENDING, described_anew, frozen, sent, signed
from tests.revisions.rows import issued_rows

LATER = NOW + timedelta(days=2)


@pytest.fixture
def maker(project):
    return member(project, Role.MAKER)


def url(name, project, *more):
    return reverse(f"revisions:{name}", args=[project.pk, *more])


def page(client, *where):
    return client.get(url(*where)).content.decode()


def shown(client, project, issue, document):
    """Return what each address of an issue answers."""
    answers = [client.get(url(name, project, issue.pk)) for name in ("issue-show", "issue-package")]
    answers.append(client.get(url("issued-file", project, document.pk)))
    answers.append(client.get(reverse("revisions:sheet-show", args=[document.code])))
    return [answer.status_code for answer in answers]


@pytest.mark.parametrize("by", ["role", "person"])
@pytest.mark.parametrize("role", [Role.MAKER, Role.CLIENT])
def test_who_is_on_the_list_reads_the_issue_and_no_other(by, role, machine, project, client):
    person, colleague = member(project, role), member(project, role)
    mine = issued_rows(machine, sent_to=[role if by == "role" else person])
    other = issued_rows(machine_of(project, tag="K-2"))
    documents = [issue.documents.get(key="datasheet") for issue in (mine, other)]
    client.force_login(person)
    assert shown(client, project, mine, documents[0]) == [200] * 4
    assert shown(client, project, other, documents[1]) == [404] * 4
    listed = page(client, "issue-list", project)
    assert mine.number in listed
    assert other.number not in listed
    client.force_login(colleague)
    assert shown(client, project, mine, documents[0]) == [200 if by == "role" else 404] * 4


@pytest.mark.parametrize("role", [Role.MAKER, Role.CLIENT])
def test_drafts_stay_inside_unless_the_project_says_that_clients_read_them(role, machine, project, client):
    client.force_login(member(project, role))
    places = [
        reverse("projects:project-show", args=[project.pk]),
        *(
            reverse(name, args=[project.pk, machine.pk])
            for name in ("projects:machine-show", "projects:document-list", "revisions:revision-list")
        ),
        url("register-list", project),
    ]
    assert [client.get(place).status_code for place in places] == [403] * 5
    found = reverse("lists:machine-search")
    assert reverse("projects:machine-show", args=[project.pk, machine.pk]) not in (
        client.get(found, {"q": machine.tag}).content.decode()
    )
    project.clients_read_drafts = True
    project.save()
    expected = 200 if role == Role.CLIENT else 403
    assert [client.get(place).status_code for place in places] == [expected] * 5
    is_found = f"/machines/{machine.pk}/" in client.get(found, {"q": machine.tag}).content.decode()
    assert is_found == (role == Role.CLIENT)


def test_the_setting_is_a_manager_s_and_is_in_the_record(project, client):
    client.force_login(member(project, Role.OWNER))
    fields = {"name": "N", "number": "", "page_size": "A4", "time_zone": "UTC", "clients_read_drafts": "on"}
    assert client.post(reverse("projects:project-edit", args=[project.pk]), fields).status_code == 302
    project.refresh_from_db()
    assert project.clients_read_drafts
    entry = AuditEntry.objects.get(action="project.update")
    assert entry.data["clients_read_drafts"] == [False, True]


def test_the_list_is_chosen_when_the_issue_is_made(machine, project, maker, client):
    owner = member(project, Role.OWNER)
    bidder = member(project, Role.BIDDER)
    revision = frozen(machine)
    signed(revision)
    client.force_login(owner)
    form = {
        "purpose": "REVIEW",
        "candidate": f"{revision.pk}:{revision.version}",
        "recipients": "",
        "distribution": ["role-CLIENT", f"person-{maker.pk}"],
    }
    new = url("issue-new", project)
    assert str(bidder) not in client.get(new).content.decode()
    for wrong in (f"person-{bidder.pk}", "role-BIDDER", "role-OWNER", "person-0"):
        assert client.post(new, {**form, "distribution": [wrong]}).status_code == 422
    nobody = client.post(new, {**form, "distribution": []})
    assert (nobody.status_code, "Say to whom it goes" in nobody.content.decode()) == (409, True)
    assert client.post(new, form).status_code == 302
    issue = project.issues.get()
    assert issue.recipients == f"every client, {maker}"
    transmittal = PdfReader(BytesIO(issue.documents.get(key="transmittal").file.content))
    assert f"To: {issue.recipients}" in transmittal.pages[0].extract_text()
    assert [str(line) for line in issue.distribution.all()] == ["everybody who is client", str(maker)]
    told = AuditEntry.objects.get(action="revision.issue").data["sent_to"]
    assert told == [["everybody who is client", None], [str(maker), maker.pk]]


def test_who_has_what_is_replaced_is_pointed_out(machine, project, maker, client):
    issued_rows(machine_of(project, tag="K-2"), sent_to=[Role.READER])
    issued_rows(machine, sent_to=[Role.CLIENT])
    issued_rows(machine, sent_to=[maker])
    frozen(machine)
    client.force_login(member(project, Role.OWNER))
    told = page(client, "issue-new", project)
    assert f"{maker}, maker, was sent {machine.tag} B" in told
    assert told.count("was sent") == 1


def test_what_holds_the_owners_reasoning_is_not_sent_out(machine, project, maker, client):
    revision = frozen(machine)
    signed(revision)
    issue = sent([revision], sending=type(SENDING)("The maker", distribution=(Addressed(Role.MAKER),)))
    proposal = issue.documents.get(key="proposal")
    client.force_login(maker)
    assert client.get(url("issued-file", project, proposal.pk)).status_code == 403
    assert client.get(reverse("revisions:sheet-show", args=[proposal.code])).status_code == 403
    kept = issue.documents.exclude(key="proposal").values_list("filename", flat=True)
    with ZipFile(BytesIO(client.get(url("issue-package", project, issue.pk)).content)) as archive:
        assert set(archive.namelist()) == {"index.csv", *kept}
        assert proposal.filename not in archive.read("index.csv").decode()
    told = page(client, "issue-show", project, issue.pk)
    assert f"kept by the owner: {proposal.number} Proposal" in told
    client.force_login(member(project, Role.OWNER))
    with ZipFile(BytesIO(client.get(url("issue-package", project, issue.pk)).content)) as archive:
        assert proposal.filename in archive.namelist()
        assert any(name.endswith("revision.json") for name in archive.namelist())


def test_more_are_added_later_and_what_was_issued_stays(machine, project, maker, client):
    issue = issued_rows(machine, sent_to=[Role.CLIENT])
    before = type(issue).objects.filter(pk=issue.pk).values().get()
    engineer = member(project, Role.ENGINEER)
    client.force_login(engineer)
    where = url("issue-distribute", project, issue.pk)
    assert "Nothing was done" in client.post(where).content.decode()
    assert client.post(where, {"distribution": ["role-CLIENT"]}).status_code == 422
    assert client.post(where, {"distribution": [f"person-{maker.pk}"]}).status_code == 302
    assert client.post(where, {"distribution": [f"person-{maker.pk}"]}).status_code == 422
    assert type(issue).objects.filter(pk=issue.pk).values().get() == before
    entry = AuditEntry.objects.get(action="issue.distribute")
    assert (entry.actor_id, entry.data["sent_to"]) == (engineer.pk, [[str(maker), maker.pk]])
    assert f"added by {engineer}" in page(client, "issue-show", project, issue.pk)
    client.force_login(maker)
    assert client.get(url("issue-show", project, issue.pk)).status_code == 200


@pytest.mark.parametrize("who", ["bidder", "stranger", "role", "nobody", "twice"])
def test_to_whom_nothing_is_sent(who, machine, project):
    issue = issued_rows(machine, sent_to=[Role.MAKER])
    addressed = {
        "bidder": [Addressed(person=member(project, Role.BIDDER))],
        "stranger": [Addressed(person=member(ProjectFactory(), Role.OWNER))],
        "role": [Addressed(role=Role.BIDDER)],
        "nobody": [],
        "twice": [Addressed(role=Role.MAKER)],
    }[who]
    with pytest.raises(Refused):
        issue_distribute(issue=issue, addressed=addressed, author=machine.created_by, now=LATER)
    assert issue.distribution.count() == 1


@pytest.mark.parametrize("becomes", [Role.BIDDER, None])
def test_who_becomes_a_bidder_or_leaves_reads_no_more(becomes, machine, project, maker, client):
    issue = issued_rows(machine, sent_to=[maker])
    membership = Membership.objects.filter(project=project, user=maker)
    if becomes:
        membership.update(role=becomes)
    else:
        membership.delete()
    client.force_login(maker)
    assert client.get(url("issue-show", project, issue.pk)).status_code == (403 if becomes else 404)
    assert not issues_read_by(maker).exists()


def test_a_superseded_sheet_says_so_and_by_what_only_to_whom_it_was_sent(
    machine, project, maker, engineer, client
):
    first = issued_rows(machine, sent_to=[maker])
    document = first.documents.get(key="datasheet")
    where = reverse("revisions:sheet-show", args=[document.code])
    frozen(machine)
    client.force_login(maker)
    told = client.get(where).content.decode()
    assert "<h1>Current" in told
    assert "candidate" not in told
    machine.revisions.filter(label="B").update(state="CANCELLED", cancelled_because="a test")
    pinions = [{**machine.description["pinions"][0], "speed": "14000 rpm"}, machine.description["pinions"][1]]
    described_anew(machine, engineer, pinions=pinions)
    second = issued_rows(machine)
    told = client.get(where).content.decode()
    assert "<h1>Superseded" in told
    assert "it was not sent to you" in told
    assert second.number not in told
    assert "was not sent to you" in page(client, "issue-show", project, first.pk)
    copy = url("superseded-file", project, document.pk)
    assert client.get(copy).status_code == 200
    issue_distribute(issue=second, addressed=[Addressed(person=maker)], author=engineer, now=LATER)
    told = client.get(where).content.decode()
    assert url("issue-show", project, second.pk) in told
    assert "Setpoints: was, is" in told
    assert "was, is, why" not in told
    assert "What was changed" not in told


def test_receipt_is_confirmed_once_and_shown(machine, project, maker, client):
    colleague = member(project, Role.MAKER)
    issue = issued_rows(machine, sent_to=[Role.MAKER, Role.CLIENT])
    client.force_login(maker)
    where = url("issue-receive", project, issue.pk)
    assert "Confirm receipt" in page(client, "issue-show", project, issue.pk)
    assert "not confirmed" in page(client, "issue-list", project)
    for _ in range(2):
        assert client.post(where).status_code == 302
    receipt = Receipt.objects.get()
    assert (receipt.person, receipt.role) == (maker, Role.MAKER)
    assert AuditEntry.objects.filter(action="issue.receive", actor=maker).count() == 1
    told = page(client, "issue-show", project, issue.pk)
    assert "Confirm receipt" not in told
    assert "You confirmed on" in told
    assert str(colleague) not in told
    client.force_login(member(project, Role.ENGINEER))
    assert client.post(where).status_code == 403
    told = page(client, "issue-show", project, issue.pk)
    assert f"{maker}, " in told
    assert f"not confirmed: {colleague}" in told


def test_a_receipt_is_not_given_for_what_was_not_sent(machine, project, maker, client):
    issue = issued_rows(machine)
    client.force_login(maker)
    assert client.post(url("issue-receive", project, issue.pk)).status_code == 404
    with pytest.raises(Refused):
        issue_receive(issue=issue, person=maker, role=Role.MAKER, now=LATER)


def test_the_database_keeps_what_was_sent_and_received(machine, maker):
    issue = issued_rows(machine, sent_to=[maker])
    issue_receive(issue=issue, person=maker, role=Role.MAKER, now=LATER)
    for rows, change in ((Recipient, {"sent_at": LATER}), (Receipt, {"received_at": NOW})):
        for act in (
            lambda rows=rows, change=change: rows.objects.update(**change),
            rows.objects.all().delete,
        ):
            with pytest.raises(DatabaseError, match="never changes"), transaction.atomic():
                act()


def test_news_of_an_issue_go_to_whom_it_was_sent(machine, project, maker, engineer):
    issue = issued_rows(machine, sent_to=[Role.CLIENT])
    reader, buyer = member(project, Role.CLIENT), member(project, Role.BUYER)

    def news(person, since, now):
        return [each.count for each in waiting_for_person(person, since, now)]

    before = NOW - timedelta(days=1)
    assert [news(person, before, NOW) for person in (reader, buyer, maker)] == [[1], [1], []]
    issue_distribute(issue=issue, addressed=[Addressed(role=Role.MAKER)], author=engineer, now=LATER)
    since = NOW + timedelta(days=1)
    assert [news(person, since, LATER) for person in (reader, buyer, maker)] == [[], [], [1]]
