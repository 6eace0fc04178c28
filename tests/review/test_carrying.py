"""Comments on revisions: made on frozen content, carried to the next one, held against what changed."""

from datetime import timedelta

import pytest
from django.urls import reverse

from specapp.core.roles import Role
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set, override_undo
from specapp.review.comparing import held_against
from specapp.review.fates import Fate, outcome_of
from specapp.review.models import Audience, Comment, State
from specapp.review.places import item_digest, places_of, value_text
from specapp.review.services.carrying import comments_carry, to_carry
from specapp.review.services.comments import Place, comment_adopt, comment_close
from specapp.revisions.content import content_of
from specapp.revisions.services.freezing import revision_refreeze
from specapp.rulebook.comparison import compare
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.review.commenting import GROUP, POINT, commented, fresh, posted, proposing
from tests.revisions.issuing import frozen
from tests.revisions.rows import issued_rows

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(days=1)
THEN = NOW + timedelta(days=2)


def url(name, machine, *args):
    return reverse(f"review:{name}", args=[machine.project_id, machine.pk, *args])


@pytest.fixture
def machine():
    project = ProjectFactory()
    return machine_of(project, author=member(project, Role.ENGINEER))


@pytest.fixture
def engineer(machine, client):
    client.force_login(machine.created_by)
    return machine.created_by


def on_field(machine, field="trip", item=GROUP, **what):
    """Return a comment on a field with what stands there, as the form makes it."""
    proposal = machine_proposal(machine)
    place = Place(
        item=item,
        field=field,
        item_digest=item_digest(places_of(proposal), item),
        value_then=value_text(proposal, item, field) if field else "",
    )
    return commented(machine, machine.created_by, place, **what)


def set_trip(machine, value=45.0, now=NOW):
    machine.refresh_from_db()
    return override_set(
        machine=machine,
        expected_version=machine.version,
        item=GROUP,
        field="trip",
        value=value,
        reason="a test",
        author=machine.created_by,
        now=now,
    )


def adopted(comment, now=NOW):
    comment.machine.refresh_from_db()
    return comment_adopt(
        comment=comment,
        expected_version=comment.version,
        machine_version=comment.machine.version,
        reason="",
        author=comment.author,
        now=now,
    )


def fate(comment, machine, frozen_at=None):
    machine.refresh_from_db()
    proposal = machine_proposal(machine)
    return outcome_of(fresh(comment), proposal, places_of(proposal), frozen_at).fate


def test_a_comment_on_a_revision_keeps_what_was_frozen_though_the_machine_moves(client, machine, engineer):
    revision = frozen(machine, author=engineer)
    told = posted(item=POINT, field="trip", value="45", scene="arrangement", revision=revision.pk)
    set_trip(machine)
    answer = client.post(url("comment-new", machine), told)
    assert f"revision={revision.pk}" in answer.url
    comment = Comment.objects.get()
    assert (comment.revision, comment.content_id) == (revision, revision.checksum)
    assert comment.machine_version == revision.machine_version
    assert comment.value_then == value_text(content_of(revision.checksum).proposal, GROUP, "trip")
    page = client.get(url("comment-show", machine, 1)).content.decode()
    assert "as in revision A" in page
    assert "on revision A" in client.get(url("comment-list", machine)).content.decode()


@pytest.mark.parametrize("told", ["x", "0", "99999", "-1"])
def test_an_unknown_revision_is_not_found(client, machine, engineer, told):
    assert client.get(url("comment-list", machine), {"revision": told}).status_code == 404


def test_a_revision_of_another_machine_is_not_found(client, machine, engineer):
    other = frozen(machine_of(machine.project, tag="K-77", author=engineer), author=engineer)
    assert client.get(url("comment-list", machine), {"revision": other.pk}).status_code == 404
    assert client.get(url("comment-fates", machine, other.pk)).status_code == 404


def test_what_became_of_a_comment_is_read_from_what_stands_there(machine):
    trip = on_field(machine)
    point = on_field(machine, field="", item=POINT)
    whole = commented(machine, place=Place())
    unknown = commented(machine, place=Place(item=POINT))
    gone = commented(machine, place=Place(item="BG/B9/radial", item_digest="x"))
    proposing = on_field(machine, proposed=45.0, proposed_text="45 um")
    assert [fate(each, machine) for each in (trip, point, whole, unknown, gone, proposing)] == [
        Fate.SAME,
        Fate.SAME,
        Fate.OPEN_ENDED,
        Fate.NOT_KNOWN,
        Fate.GONE,
        Fate.SAME,
    ]
    override = adopted(proposing, now=LATER).adopted
    assert [fate(each, machine) for each in (trip, point, proposing)] == [
        Fate.CHANGED,
        Fate.CHANGED,
        Fate.BUILT_IN,
    ]
    machine.refresh_from_db()
    override_undo(override=override, expected_version=machine.version, author=machine.created_by, now=LATER)
    assert fate(proposing, machine) == Fate.LOST
    assert fate(proposing, machine, frozen_at=NOW) == Fate.LATER


def test_open_comments_are_carried_once_with_what_became_of_each(client, machine, engineer):
    issued_rows(machine)
    trip = on_field(machine, text="Lower, please.")
    shut = on_field(machine, text="Shut.")
    comment_close(
        comment=shut,
        expected_version=1,
        reason="",
        may_answer=True,
        author=engineer,
        now=NOW + timedelta(hours=1),
    )
    set_trip(machine)
    revision = frozen(machine, author=engineer, now=LATER)
    commented(machine, engineer, Place(item=POINT))
    Comment.objects.filter(number=3).update(written_at=THEN)
    page = client.get(url("comment-fates", machine, revision.pk))
    assert [title for title, lines, _ in page.context["parts"] if lines] == [
        "To be carried",
        "Closed since the last",
    ]
    assert client.post(url("comment-fates", machine, revision.pk)).status_code == 302
    assert client.post(url("comment-fates", machine, revision.pk)).status_code == 302
    trip = fresh(trip)
    entry = trip.entries.get()
    assert (trip.carried_to, trip.state) == (revision, State.OPEN)
    assert entry.text == f"to revision {revision.label}: {Fate.CHANGED.value}"
    assert not Comment.objects.exclude(pk=trip.pk).filter(carried_to=revision).exists()
    assert f"carried to {revision.label}" in client.get(url("comment-list", machine)).content.decode()


def test_what_is_closed_meanwhile_is_not_carried(machine):
    comment = on_field(machine)
    revision = frozen(machine, now=LATER)
    assert list(to_carry(Comment.objects.all(), revision)) == [comment]
    comment_close(
        comment=comment, expected_version=1, reason="", may_answer=False, author=comment.author, now=THEN
    )
    fates = {comment.number: Fate.SAME.value}
    assert comments_carry(revision=revision, fates=fates, author=machine.created_by, now=THEN) == 0


def test_a_candidate_frozen_again_keeps_what_a_comment_was_made_on(client, machine, engineer):
    revision = frozen(machine, author=engineer)
    client.post(url("comment-new", machine), posted(item=POINT, scene="arrangement", revision=revision.pk))
    first = revision.checksum
    set_trip(machine)
    revision_refreeze(revision=revision, expected_version=revision.version, author=engineer, now=LATER)
    comment = Comment.objects.get()
    assert comment.content_id == first != comment.revision.content_id
    assert client.get(url("comment-show", machine, 1)).status_code == 200


def against(machine, before, *comments):
    machine.refresh_from_db()
    after = machine_proposal(machine)
    return held_against(compare(before, after), before, after, [fresh(comment) for comment in comments])


def test_a_change_without_a_comment_and_a_comment_without_a_change_are_told_apart(machine):
    before = machine_proposal(machine)
    elsewhere = on_field(machine, field="alarm")
    set_trip(machine)
    held = against(machine, before, elsewhere)
    assert (GROUP, "trip") in {(each.item, each.field) for each in held.uncommented.setpoints}
    assert held.unchanged == (elsewhere,)
    on_it = on_field(machine)
    held = against(machine, before, on_it)
    assert held.count == 0
    assert held.unchanged == ()


@pytest.mark.parametrize("item", [GROUP, POINT, "BG/B1/radial/X"])
def test_a_comment_on_a_point_covers_its_groups_setpoint(machine, item):
    before = machine_proposal(machine)
    comment = on_field(machine, field="", item=item)
    set_trip(machine)
    assert against(machine, before, comment).unchanged == ()


def test_comments_on_no_item_are_counted_apart(machine):
    before = machine_proposal(machine)
    whole = commented(machine, place=Place())
    held = against(machine, before, whole)
    assert (held.unchanged, held.without_item) == ((), (whole,))


def client_reading_drafts(machine):
    type(machine.project).objects.filter(pk=machine.project_id).update(clients_read_drafts=True)
    return member(machine.project, Role.CLIENT)


def test_the_comparison_shows_both_and_only_what_its_reader_may_read(client, machine, engineer):
    issued_rows(machine)
    on_field(machine, field="alarm", text="SECRET to the client", audience=Audience.INTERNAL)
    on_field(machine, field="alarm", text="For the client", audience=Audience.CLIENT)
    set_trip(machine, now=LATER)
    told = {"was": machine.revisions.get().pk, "is": "working"}
    page = client.get(url("change-list", machine), told).content.decode()
    assert "SECRET to the client" in page
    assert "Changed without a comment <small>0" not in page
    client.force_login(client_reading_drafts(machine))
    part = client.get(url("change-list", machine), told, headers={"HX-Request": "true"}).content.decode()
    assert "For the client" in part
    assert "SECRET" not in part
    assert "<html" not in part
    assert client.get(url("change-list", machine), {"was": "x"}).status_code == 404


def test_the_sheet_of_a_point_shows_the_comments_that_its_reader_may_read(client, machine, engineer):
    commented(machine, text="SECRET inside")
    on_field(machine, text="To the client", audience=Audience.CLIENT)
    address = url("item-comments", machine)
    assert "SECRET inside" in client.get(address, {"item": POINT}).content.decode()
    client.force_login(client_reading_drafts(machine))
    seen = client.get(address, {"item": POINT}).content.decode()
    assert "To the client" in seen
    assert "SECRET" not in seen
    client.force_login(member(machine.project, Role.MAKER))
    assert client.get(address, {"item": POINT}).status_code == 403


def test_an_item_that_is_contradicted_says_so_on_its_own_page(client, machine, engineer):
    proposing(machine, text="45", value=45.0)
    proposing(machine, text="50", value=50.0)
    page = client.get(url("item-comments", machine), {"item": POINT}).content.decode()
    assert page.count("contradicts") == 2
