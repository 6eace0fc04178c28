"""Secrets are planted all over a project; a maker and a client, who were sent one issue of it, get none.

The walk is of tests/health/walking.py. That it finds what is there is told by a member who reads drafts.
"""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set
from specapp.projects.models import Membership
from specapp.review.attachments import paper_of
from specapp.review.models import Audience
from specapp.review.services.comments import Place, comment_adopt, comment_attach, comment_reply
from specapp.revisions.gate import gate_items
from specapp.revisions.models import IssuedDocument
from specapp.revisions.services.distributing import Addressed
from specapp.revisions.services.freezing import revision_cancel
from specapp.revisions.services.holds import hold_put
from specapp.revisions.services.issuing import Sending
from tests.api.asking import token_for
from tests.factories import NOW, ProjectFactory, UserFactory, machine_of, member
from tests.health.walking import every_address, found_in, walk
from tests.review.commenting import GROUP, commented, fresh
from tests.revisions.issuing import described_anew, frozen, sent, signed
from tests.revisions.rows import issued_rows

pytestmark = pytest.mark.django_db

# Each is found nowhere else.
SECRETS = (
    COMMENT := "zqinternalcomment",
    REPLY := "zqinternalreply",
    PAPER := "zqinternalpaper",
    ADOPTED := "zqadoptedcomment",
    DRAFT := "zqdraftservice",
    REASON := "zqoverridereason",
    HOLD := "zqholdowner",
    CANCELLED := "zqcancelledbecause",
    LATER := "zqlaternote",
    LATER_SERVICE := "zqlaterservice",
    LATER_TO := "zqlaterrecipients",
    OTHER := "zqothernote",
    OTHER_SERVICE := "zqotherservice",
    COLLEAGUE := "Zqcolleague",
)
OF_MAKERS, OF_CLIENTS = "zqformakersonly", "zqforclientsonly"
SECOND_TRIP = 37.25


def adopted(machine, owner):
    """Set what an internal comment proposes, before the issue; the comment's words are not printed."""
    place = Place(item=GROUP, field="trip")
    comment = commented(machine, owner, place, text=ADOPTED, proposed=45.0, proposed_text="45")
    comment_adopt(
        comment=comment,
        expected_version=comment.version,
        machine_version=machine.version,
        reason="",
        author=owner,
        now=NOW,
    )


def planted():
    """Return the people outside, a member inside, and the one issue that the former were sent."""
    project = ProjectFactory()
    owner, engineer = member(project, Role.OWNER), member(project, Role.ENGINEER)
    maker, client = member(project, Role.MAKER), member(project, Role.CLIENT)
    colleague = UserFactory(name=COLLEAGUE)
    Membership.objects.create(project=project, user=colleague, role=Role.READER)
    machine = machine_of(project, owner)
    adopted(machine, owner)
    first = frozen(machine, author=owner)
    signed(first)
    addressed = (Addressed(Role.MAKER), Addressed(Role.CLIENT), Addressed(person=colleague))
    issue = sent([first], author=owner, sending=Sending("Both (invented)", distribution=addressed))
    internal = commented(machine, owner, text=COMMENT)
    commented(machine, owner, text=OF_MAKERS, audience=Audience.MAKER)
    commented(machine, owner, text=OF_CLIENTS, audience=Audience.CLIENT)
    comment_attach(
        comment=internal, paper=paper_of(f"{PAPER}.txt", b"zqinternalpaper"), author=owner, now=NOW
    )
    version = fresh(internal).version
    comment_reply(comment=internal, expected_version=version, text=REPLY, code=None, author=engineer, now=NOW)
    given_up = frozen(machine, author=owner)
    revision_cancel(
        revision=given_up, expected_version=given_up.version, reason=CANCELLED, author=owner, now=NOW
    )
    described_anew(machine, engineer, service=LATER_SERVICE)
    issued_rows(machine, recipients=LATER_TO, note=LATER)
    other = machine_of(project, owner, tag="K-9", service=OTHER_SERVICE)
    issued_rows(other, note=OTHER)
    drafted(machine, engineer)
    return owner, (maker, client), issue


def drafted(machine, engineer):
    """Leave a draft, an override and a hold that no issue has."""
    described_anew(machine, engineer, service=DRAFT)
    machine.refresh_from_db()
    override_set(
        machine=machine,
        expected_version=machine.version,
        item=GROUP,
        field="trip",
        value=SECOND_TRIP,
        reason=REASON,
        author=engineer,
        now=NOW,
    )
    item = gate_items(machine_proposal(machine))[0]
    due = NOW.date() + timedelta(days=9)
    hold_put(machine=machine, item=item, owner=HOLD, due_date=due, author=engineer, now=NOW)


def test_people_outside_get_none_of_the_planted_secrets():
    owner, (maker, client), issue = planted()
    kept = IssuedDocument.objects.exclude(issue=issue)
    secrets = [*SECRETS, *(value for pair in kept.values_list("code", "issue__number") for value in pair)]
    addresses = sorted(every_address(4))
    of_programs = [each for each in addresses if each.startswith("/api/1/")]
    of_browsers = [each for each in addresses if each not in of_programs]
    for person, others in ((maker, OF_CLIENTS), (client, OF_MAKERS)):
        browser = Client()
        browser.force_login(person)
        assert walk(browser, [*secrets, others], ["/", *of_browsers]) > 20
        assert issue.receipts.filter(person=person).exists()
        _, token = token_for(issue.project, person)
        walk(Client(), [*secrets, others], list(of_programs), authorization=f"Bearer {token}")
        for document in kept:
            for name in ("issued-file", "superseded-file"):
                where = reverse(f"revisions:{name}", args=[document.issue.project_id, document.pk])
                assert browser.get(where).status_code == 404
    # The walk finds what is there: whoever reads drafts is told.
    browser = Client()
    browser.force_login(owner)
    told = b"".join(
        browser.get(reverse(name, args=[issue.project_id, *rest])).content
        for name, rest in (
            ("revisions:issue-list", []),
            ("projects:machine-show", [issue.revisions.get().machine_id]),
            ("review:comment-list", [issue.revisions.get().machine_id]),
        )
    )
    assert {LATER_TO, DRAFT, COMMENT, OF_MAKERS} <= set(found_in(told, [*SECRETS, OF_MAKERS]))
