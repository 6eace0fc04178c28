"""Rounds of review: asked, answered by every named reviewer, late ones named, consolidated by the lead."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.projects.services import machine_update
from specapp.review.codes import reply_codes
from specapp.review.errors import NotNow, StaleRound
from specapp.review.models import Answer, Audience, Look, Round
from specapp.review.services.rounds import round_answer, round_consolidate
from specapp.revisions.models import Part
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.review.addresses import asked
from tests.review.commenting import POINT, commented, proposing
from tests.revisions.issuing import frozen, signed

pytestmark = pytest.mark.django_db

DUE = (NOW + timedelta(days=14)).date()


def url(name, machine, *args):
    return reverse(f"review:{name}", args=[machine.project_id, machine.pk, *args])


@pytest.fixture
def machine():
    project = ProjectFactory()
    return machine_of(project, author=member(project, Role.ENGINEER))


@pytest.fixture
def lead(machine):
    return machine.created_by


def answered(review, person, answer=Answer.NO_COMMENT, note=""):
    return round_answer(review=review, answer=answer, note=note, author=person, now=NOW)


def consolidated(review, author, outcome="Go on.", version=1, may_stand_in=False):
    return round_consolidate(
        review=review,
        expected_version=version,
        outcome=outcome,
        code=reply_codes(review.machine.project)[0],
        may_stand_in=may_stand_in,
        author=author,
        now=NOW,
    )


def test_a_round_is_asked_of_people_of_the_project_by_a_day_to_come(client, machine, lead):
    reviewer, approver = member(machine.project, Role.REVIEWER), member(machine.project, Role.APPROVER)
    revision = frozen(machine, author=lead)
    client.force_login(lead)
    told = {
        "purpose": "Client review",
        "revision": revision.pk,
        "due_date": "2020-01-01",
        "lead": lead.pk,
        "reviewers": [reviewer.pk, approver.pk],
    }
    late = client.post(url("round-list", machine), told)
    assert late.status_code == 422
    assert "allowed: today or later" in late.content.decode()
    day = timezone.localdate() + timedelta(days=3)
    assert client.post(url("round-list", machine), told | {"due_date": day.isoformat()}).status_code == 302
    review = Round.objects.get()
    assert (review.revision, review.due_date) == (revision, day)
    assert {row.person for row in review.reviewers.all()} == {reviewer, approver}


@pytest.mark.parametrize("changed", [{"reviewers": []}, {"purpose": ""}, {"due_date": "soon"}, {"lead": "0"}])
def test_what_a_round_lacks_is_told_at_its_field(client, machine, lead, changed):
    client.force_login(lead)
    told = {"purpose": "x", "due_date": "2999-01-01", "lead": lead.pk, "reviewers": [lead.pk]} | changed
    page = client.post(url("round-list", machine), told)
    assert page.status_code == 422
    assert page.context["form"].errors.keys() == changed.keys()
    assert not Round.objects.exists()


def test_readers_strangers_and_bidders_are_not_asked(client, machine, lead):
    reader = member(machine.project, Role.READER)
    client.force_login(lead)
    told = {"purpose": "x", "due_date": "2999-01-01", "lead": lead.pk, "reviewers": [reader.pk]}
    assert client.post(url("round-list", machine), told).status_code == 422


def test_every_named_reviewer_answers_also_no_comment_and_may_think_again(machine, lead):
    reviewer = member(machine.project, Role.REVIEWER)
    review = asked(machine, [reviewer])
    answered(review, reviewer)
    assert answered(review, reviewer, Answer.COMMENTS, "See 3.").answer == Answer.COMMENTS
    with pytest.raises(NotNow):
        answered(review, lead)
    consolidated(review, lead)
    with pytest.raises(NotNow):
        answered(review, reviewer)


def test_only_the_lead_consolidates_or_an_owner_in_his_place_and_only_once(machine, lead):
    owner = member(machine.project, Role.OWNER)
    review = asked(machine, [owner])
    with pytest.raises(NotNow):
        consolidated(review, owner)
    with pytest.raises(InputErrors):
        consolidated(review, lead, outcome="  ")
    done = consolidated(review, owner, may_stand_in=True)
    assert (done.code, done.may_proceed, done.consolidated_by) == ("A", True, owner)
    with pytest.raises(StaleRound):
        consolidated(review, lead)


def test_an_old_page_of_a_round_is_told_and_loses_nothing(client, machine, lead):
    review = asked(machine, [lead])
    consolidated(review, lead)
    client.force_login(lead)
    consolidating = {"do": "consolidate", "version": "1", "outcome": "Typed with <care>", "code": "A"}
    for told in (consolidating, {"do": "answer", "answer": "COMMENTS", "note": "Typed with <care>"}):
        answer = client.post(url("round-show", machine, review.pk), told)
        page = answer.content.decode()
        assert answer.status_code == 409
        assert "is consolidated" in page or "consolidated meanwhile" in page
        assert page.index("Go on.") < page.index("What you wrote") < page.index("Typed with &lt;care&gt;")


def today_is(monkeypatch, day):
    monkeypatch.setattr("specapp.review.views.common.timezone.localdate", lambda *_: day)


@pytest.mark.parametrize(("days", "late"), [(0, False), (1, True)])
def test_who_is_late_is_named_from_the_day_after(client, monkeypatch, machine, lead, days, late):
    prompt, slow = member(machine.project, Role.REVIEWER), member(machine.project, Role.APPROVER)
    review = asked(machine, [prompt, slow])
    answered(review, prompt)
    today_is(monkeypatch, DUE + timedelta(days=days))
    client.force_login(lead)
    page = client.get(url("comment-list", machine)).content.decode()
    assert "1 of 2 answered" in page
    assert (f"overdue: {slow}" in page) is late
    shown = client.get(url("round-show", machine, review.pk)).content.decode()
    assert ('<span class="needs-you">overdue</span>' in shown) is late


def test_the_page_of_a_round_holds_answers_open_comments_and_contradictions_together(client, machine, lead):
    reviewer = member(machine.project, Role.REVIEWER)
    review = asked(machine, [reviewer])
    proposing(machine, text="45", value=45.0, author=reviewer)
    proposing(machine, text="50", value=50.0)
    answered(review, reviewer, Answer.COMMENTS, "See the trip.")
    client.force_login(lead)
    page = client.get(url("round-show", machine, review.pk)).content.decode()
    assert "Proposals that contradict each other" in page
    assert "See the trip." in page
    assert "Consolidate this review" in page
    told = {"do": "consolidate", "version": "1", "outcome": "50 stays.", "code": "P"}
    assert client.post(url("round-show", machine, review.pk), told).status_code == 302
    page = client.get(url("round-show", machine, review.pk)).content.decode()
    assert "50 stays." in page
    assert "may proceed, resubmit" in page


def test_people_outside_see_rounds_that_ask_them_and_nothing_of_the_others(client, machine, lead):
    maker, client_person = member(machine.project, Role.MAKER), member(machine.project, Role.CLIENT)
    insider = member(machine.project, Role.REVIEWER)
    theirs = asked(machine, [maker, insider], purpose="Maker's round")
    hidden = asked(machine, [insider, client_person], purpose="SECRET round")
    answered(theirs, insider, Answer.COMMENTS, "SECRET note")
    commented(machine, text="SECRET comment", audience=Audience.INTERNAL)
    proposing(machine, text="SECRET value", audience=Audience.CLIENT)
    insider.name = "SECRET name"
    insider.save()
    client.force_login(maker)
    for name, args in (("round-list", ()), ("round-show", (theirs.pk,)), ("comment-list", ())):
        page = client.get(url(name, machine, *args))
        assert page.status_code == 200
        assert "SECRET" not in page.content.decode()
    assert client.get(url("round-show", machine, hidden.pk)).status_code == 404
    assert client.get(url("look-list", machine)).status_code == 403
    mine = client.get(reverse("review:my-reviews")).content.decode()
    assert "Maker&#x27;s round" in mine
    assert "SECRET" not in mine
    answer = {"do": "answer", "answer": "NO_COMMENT"}
    assert client.post(url("round-show", machine, theirs.pk), answer).status_code == 302
    client.force_login(client_person)
    mine = client.get(reverse("review:my-reviews")).content.decode()
    assert "SECRET round" in mine
    assert "Maker&#x27;s round" not in mine


def test_what_waits_for_a_person_goes_with_the_membership(client, machine, lead):
    reviewer = member(machine.project, Role.REVIEWER)
    asked(machine, [reviewer], purpose="Waits here")
    commented(machine)
    client.force_login(reviewer)
    assert "Waits here" in client.get(reverse("review:my-reviews")).content.decode()
    machine.project.memberships.filter(user=reviewer).delete()
    page = client.get(reverse("review:my-reviews")).content.decode()
    assert "Nothing waits for you" in page
    client.force_login(lead)
    assert [row.to_answer for row in client.get(reverse("review:my-reviews")).context["machines"]] == [1]


def test_a_signature_that_is_asked_waits_until_it_is_given(client, machine, lead):
    revision = frozen(machine, author=lead)
    client.force_login(lead)
    address = reverse("review:my-reviews")
    assert client.get(address).context["signatures"] == [(revision, Part.PREPARED, "prepared")]
    signed(revision, person=lead)
    page = client.get(address)
    assert page.context["signatures"] == []
    client.force_login(member(machine.project, Role.READER))
    assert "Your signature" not in client.get(address).content.decode()


def ticked(client, machine, page, *keys):
    items = [f"{line.digest}:{line.key}" for line in page.context["lines"]]
    return client.post(url("look-list", machine), {"item": items, "seen": keys, "kind": "Points"})


def test_a_tick_stands_until_its_item_says_something_else(client, machine):
    reviewer = member(machine.project, Role.REVIEWER)
    client.force_login(reviewer)
    first = client.get(url("look-list", machine))
    other = first.context["lines"][5].key
    assert ticked(client, machine, first, POINT, other).status_code == 302
    assert client.get(url("look-list", machine)).context["seen"] == 2
    old = client.get(url("look-list", machine))
    told = {**machine.description, "setting_units": "us"}
    machine_update(
        machine=machine,
        description=told,
        expected_version=machine.version,
        author=machine.created_by,
        now=NOW,
    )
    page = client.get(url("look-list", machine))
    assert page.context["seen"] < 2
    assert "changed since you looked" in page.content.decode()
    # What was ticked on the old page is what was seen there: it does not stand for what is there now.
    ticked(client, machine, old, POINT)
    line = next(each for each in client.get(url("look-list", machine)).context["lines"] if each.key == POINT)
    assert (line.is_seen, line.has_changed) == (False, True)
    assert not Look.objects.filter(item=other).exists()


def test_every_kind_of_item_can_be_ticked(client, machine):
    client.force_login(member(machine.project, Role.REVIEWER))
    kinds = client.get(url("look-list", machine)).context["kinds"]
    for kind in kinds:
        page = client.get(url("look-list", machine), {"kind": kind})
        assert all(len(line.digest) == 16 for line in page.context["lines"])
    line = page.context["lines"][0]
    told = {"item": [f"{line.digest}:{line.key}"], "seen": [line.key], "kind": kinds[-1]}
    client.post(url("look-list", machine), told)
    assert Look.objects.get().item == line.key


def test_an_owner_sets_the_reply_codes_and_an_old_form_is_told(client, machine):
    owner = member(machine.project, Role.OWNER)
    client.force_login(owner)
    address = reverse("review:code-list", args=[machine.project_id])
    was = client.get(address).context["was"]

    def posted(*lines):
        told = {"was": was, "code-TOTAL_FORMS": len(lines), "code-INITIAL_FORMS": 0}
        for number, (code, meaning) in enumerate(lines):
            told |= {f"code-{number}-code": code, f"code-{number}-meaning": meaning}
            told |= {f"code-{number}-closes": "LEAD", f"code-{number}-resubmit": "on"}
        return client.post(address, told)

    assert posted(("1", "noted"), ("", ""), ("1", "again")).status_code == 422
    assert posted(("1", "noted"), ("", "")).status_code == 302
    (code,) = reply_codes(machine.project)
    assert (code.code, code.may_proceed, code.resubmit, code.closes) == ("1", False, True, "LEAD")
    stale = posted(("2", "typed on the old form"))
    assert stale.status_code == 409
    assert "typed on the old form" in stale.content.decode()
    client.post(address, {"was": client.get(address).context["was"], "do": "common"})
    assert len(reply_codes(machine.project)) == 5


@pytest.mark.parametrize("name", ["round-list", "round-show", "look-list"])
def test_pages_of_rounds_take_a_fixed_number_of_queries(
    client, machine, lead, name, django_assert_max_num_queries
):
    people = [member(machine.project, Role.REVIEWER) for _ in range(8)]
    reviews = [asked(machine, people) for _ in range(4)]
    for person in people:
        commented(machine, person)
        Look.objects.create(machine=machine, person=person, item=POINT, digest="x", looked_at=NOW)
    client.force_login(lead)
    address = url(name, machine, *([reviews[0].pk] if name == "round-show" else []))
    client.get(address)
    with django_assert_max_num_queries(22):
        client.get(address)
