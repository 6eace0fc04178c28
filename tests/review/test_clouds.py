"""Clouds on the drawing under review: around what a revision changes, gone at the next issue."""

import pytest
from django.urls import reverse

from specapp.review.places import ARRANGEMENT
from specapp.review.services.comments import Place
from specapp.revisions.models import Revision
from tests.review.commenting import POINT, commented, reviewed
from tests.revisions.issuing import described_anew, frozen
from tests.revisions.rows import issued_rows

pytestmark = pytest.mark.django_db

FASTER = "19000 rpm"


@pytest.fixture
def machine(client):
    machine, person = reviewed()
    client.force_login(person)
    return machine


def faster(machine):
    pinions = [dict(pinion) for pinion in machine.description["pinions"]]
    pinions[0] |= {"speed": FASTER}
    described_anew(machine, machine.created_by, pinions=pinions)


def page_of(client, machine, revision, drawing=ARRANGEMENT):
    told = {"on": drawing} | ({"revision": revision.pk} if revision else {})
    page = client.get(reverse("review:comment-list", args=[machine.project_id, machine.pk]), told)
    return page.content.decode()


def test_a_candidate_is_clouded_against_the_last_issue_and_the_next_issue_has_none(client, machine):
    first = issued_rows(machine).revisions.get()
    assert "Changed in revision" not in page_of(client, machine, first)
    faster(machine)
    candidate = frozen(machine)
    page = page_of(client, machine, candidate)
    assert "<title>Changed in revision B: P1" in page
    assert "Clouded with a triangle B: what revision B changes against A" in page
    assert "Changed in revision" not in page_of(client, machine, None)
    Revision.objects.filter(pk=candidate.pk).update(state="CANCELLED", cancelled_because="x")
    assert "Changed in revision" not in page_of(client, machine, candidate)
    second = issued_rows(machine).revisions.get()
    assert "Changed in revision C: P1" in page_of(client, machine, second)
    third = issued_rows(machine).revisions.get()
    page = page_of(client, machine, third)
    assert "Changed in revision" not in page
    assert "No cloud: no item of this drawing differs from C" in page


def test_marks_of_comments_stand_over_clouds_and_keep_saying_whether_the_drawing_changed(client, machine):
    issued_rows(machine)
    faster(machine)
    candidate = frozen(machine)
    address = reverse("review:comment-new", args=[machine.project_id, machine.pk])
    told = {"text": "Why so fast?", "category": "MINOR", "discipline": "INSTRUMENTS", "audience": "INTERNAL"}
    told |= {"scene": ARRANGEMENT, "x_mm": "50", "y_mm": "40", "revision": candidate.pk}
    assert client.post(address, told).status_code == 302
    page = page_of(client, machine, candidate)
    assert page.index("Changed in revision B") < page.index('data-key="comment/1"')
    assert "drawing has changed" not in page
    alone = client.get(reverse("review:comment-show", args=[machine.project_id, machine.pk, 1]))
    assert "Changed in revision B" in alone.content.decode()


def test_the_comment_sheet_prints_the_clouds(client, machine):
    issued_rows(machine)
    faster(machine)
    candidate = frozen(machine)
    commented(machine, place=Place(item=POINT, scene=ARRANGEMENT, x_mm=50.0, y_mm=40.0))
    address = reverse("review:exchange-file", args=[machine.project_id, machine.pk, "pdf"])
    plain = client.get(address, {"audience": "INTERNAL"})
    clouded = client.get(address, {"audience": "INTERNAL", "revision": candidate.pk})
    assert (plain.status_code, clouded.status_code) == (200, 200)
    assert len(clouded.content) > len(plain.content) + 500
