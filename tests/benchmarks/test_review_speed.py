"""Server time of a comment sheet with 2000 comments, a hundred shown, and of posting a comment.

Times are processor times; the limits are scaled on a slower computer.
"""

import random

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.review.models import Comment, Entry, State
from specapp.review.services.comments import Place
from tests.benchmarks.slowness import slowness
from tests.benchmarks.test_pages_speed import median_ms
from tests.factories import ProjectFactory, machine_of, member
from tests.review.commenting import commented, posted
from tests.revisions.issuing import frozen

pytestmark = pytest.mark.django_db

SHEET_MS = 60.0
POST_MS = 15.0
COUNT = 2000
SHEET_QUERIES = 16


@pytest.fixture
def machine(client):
    project = ProjectFactory()
    person = member(project, Role.ENGINEER)
    client.force_login(person)
    return machine_of(project, author=person, name="eight_stage")


def filled(machine, count):
    """Put comments on items and on the arrangement of a revision, two in three answered."""
    draw = random.Random(7)
    revision = frozen(machine, author=machine.created_by)
    people = [member(machine.project, Role.REVIEWER) for _ in range(6)]
    first = commented(machine, people[0], Place(item="P1/P1-1/radial/Y"), text="A first one.")
    rows = []
    for number in range(2, count + 1):
        rows.append(
            Comment(
                machine=machine,
                number=number,
                uid=f"{number:016x}",
                machine_version=1,
                revision=revision,
                content_id=revision.checksum,
                item="P1/P1-1/radial" if number % 3 else "",
                field="trip" if number % 3 else "",
                proposed=40.0 + number % 5 if number % 9 == 1 else None,
                proposed_text=f"{40 + number % 5} um" if number % 9 == 1 else "",
                scene="arrangement" if number % 4 == 0 else "",
                x_mm=draw.uniform(10, 350) if number % 4 == 0 else None,
                y_mm=draw.uniform(10, 200) if number % 4 == 0 else None,
                text="The trip is below what the maker states in the data sheet of the machine. " * 2,
                category=first.category,
                discipline=first.discipline,
                audience="INTERNAL",
                author=people[number % 6],
                written_at=first.written_at,
                state=State.OPEN if number % 3 == 0 else State.ANSWERED,
            )
        )
    Comment.objects.bulk_create(rows)
    Entry.objects.bulk_create(
        Entry(
            comment=row,
            step="REPLY",
            text="Taken over.",
            code="A",
            code_meaning="agreed",
            may_proceed=True,
            resubmit=False,
            closes="COMMENTER",
            author=people[0],
            written_at=row.written_at,
        )
        for row in rows
        if row.state == State.ANSWERED
    )
    return revision


def test_a_sheet_of_2000_comments(machine, client, django_assert_max_num_queries):
    revision = filled(machine, COUNT)
    limit = SHEET_MS * slowness()
    for told in ({}, {"revision": revision.pk}, {"page": "20"}):
        address = reverse("review:comment-list", args=[machine.project_id, machine.pk], query=told)
        with django_assert_max_num_queries(SHEET_QUERIES):
            page = client.get(address)
        assert page.content.count(b'<tr id="c') == 100
        spent = median_ms(lambda address=address: client.get(address))
        print(f"comment sheet {told}: {spent:.1f} ms, at most {limit:.1f}")
        assert spent <= limit


def test_posting_a_comment(machine, client):
    filled(machine, COUNT)
    limit = POST_MS * slowness()
    address = reverse("review:comment-new", args=[machine.project_id, machine.pk])
    told = posted(
        item="P1/P1-1/radial/Y", field="trip", value="41", scene="arrangement", x_mm="20", y_mm="30"
    )
    assert client.post(address, told).status_code == 302
    spent = median_ms(lambda: client.post(address, told))
    print(f"posting a comment: {spent:.1f} ms, at most {limit:.1f}")
    assert spent <= limit
