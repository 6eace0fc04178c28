"""A round changed after asking: another day, somebody added or excused, with a reason for all to read."""

from datetime import timedelta

import pytest
from django.urls import reverse

from specapp.core.models import AuditEntry
from specapp.core.roles import Role
from specapp.domain.problems import InputErrors
from specapp.review.codes import reply_codes
from specapp.review.errors import NotNow, StaleRound
from specapp.review.models import Answer, Reviewer, RoundChange
from specapp.review.reviewing import leading_rounds, waiting_rounds
from specapp.review.services.round_changes import round_change
from specapp.review.services.rounds import round_answer, round_consolidate
from specapp.review.waiting import waiting_for_person
from tests.factories import NOW, ProjectFactory, machine_of, member
from tests.review.addresses import asked

pytestmark = pytest.mark.django_db

DUE = (NOW + timedelta(days=14)).date()
LATER_DAY = DUE + timedelta(days=7)
TODAY = NOW.date()
FAR = "2999-01-01"


def url(name, machine, *args):
    return reverse(f"review:{name}", args=[machine.project_id, machine.pk, *args])


@pytest.fixture
def machine():
    project = ProjectFactory()
    return machine_of(project, author=member(project, Role.ENGINEER))


@pytest.fixture
def lead(machine):
    return machine.created_by


def changed(review, author, **what):
    review.refresh_from_db()
    given = {
        "expected_version": review.version,
        "due_date": review.due_date,
        "add": [],
        "excuse": [],
        "reason": "The maker's answer comes later.",
        "may_stand_in": False,
        "now": NOW,
        **what,
    }
    return round_change(review=review, author=author, **given)


def problems(review, author, **what):
    with pytest.raises(InputErrors) as raised:
        changed(review, author, **what)
    return {problem.path for problem in raised.value.problems}


def answered(review, person, answer=Answer.NO_COMMENT):
    return round_answer(review=review, answer=answer, note="", author=person, now=NOW)


def asks(person):
    return [item.ask for item in waiting_for_person(person, NOW, NOW) if item.ask]


def test_who_is_added_is_asked_and_who_is_excused_is_asked_for_nothing(machine, lead):
    first, second = member(machine.project, Role.REVIEWER), member(machine.project, Role.APPROVER)
    review = asked(machine, [first])
    assert asks(second) == []
    changed(review, lead, add=[second], excuse=[first])
    assert [row.round_id for row in waiting_rounds(second)] == [review.pk]
    assert asks(second) == [f"review:{review.pk}"]
    assert waiting_rounds(first) == asks(first) == []
    with pytest.raises(NotNow):
        answered(review, first)
    (led,) = leading_rounds(lead)
    assert (led.asked, led.silent) == (1, 1)
    answered(review, second)
    (led,) = leading_rounds(lead)
    assert (led.asked, led.silent) == (1, 0)
    changed(review, lead, add=[first])
    assert asks(first) == [f"review:{review.pk}"]
    review.refresh_from_db()
    done = round_consolidate(
        review=review,
        expected_version=review.version,
        outcome="Settled.",
        code=reply_codes(machine.project)[0],
        may_stand_in=False,
        author=lead,
        now=NOW,
    )
    assert AuditEntry.objects.latest("pk").data["silent"] == [first.pk]
    with pytest.raises(NotNow):
        changed(done, lead, due_date=LATER_DAY)


def test_another_day_is_told_once_more_and_recorded_with_its_reason(machine, lead):
    reviewer = member(machine.project, Role.REVIEWER)
    review = asked(machine, [reviewer])
    before = asks(reviewer)
    change = changed(review, lead, due_date=LATER_DAY)
    assert (change.due_was, change.due_is) == (DUE, LATER_DAY)
    assert asks(reviewer) == [f"{before[0]}:{LATER_DAY}"]
    entry = AuditEntry.objects.latest("pk")
    assert entry.action == "review.change"
    assert entry.data["due_was"] == DUE.isoformat()
    assert entry.data["reason"] == "The maker's answer comes later."


@pytest.mark.parametrize(("day", "refused"), [(TODAY, False), (TODAY - timedelta(days=1), True)])
def test_the_day_is_today_or_later(machine, lead, day, refused):
    review = asked(machine, [lead])
    if refused:
        assert problems(review, lead, due_date=day) == {"due date"}
    else:
        assert changed(review, lead, due_date=day).due_is == day


def test_a_day_that_has_passed_may_stay_while_others_are_asked(machine, lead):
    review = asked(machine, [lead])
    late = NOW + timedelta(days=30)
    assert changed(review, lead, add=[member(machine.project, Role.REVIEWER)], now=late).due_is is None


def test_what_cannot_be_changed_is_told_all_at_once(machine, lead):
    reviewer = member(machine.project, Role.REVIEWER)
    review = asked(machine, [reviewer])
    assert problems(review, lead, reason=" ") == {"reason", "change"}
    assert problems(review, lead, excuse=[reviewer]) == {"reviewers"}
    answered(review, reviewer)
    assert problems(review, lead, excuse=[reviewer], add=[lead]) == {"excused"}
    assert not RoundChange.objects.exists()


def test_only_the_lead_changes_it_or_an_owner_in_his_place_and_not_on_an_old_page(machine, lead):
    owner = member(machine.project, Role.OWNER)
    review = asked(machine, [owner])
    with pytest.raises(NotNow):
        changed(review, owner, due_date=LATER_DAY)
    changed(review, owner, due_date=LATER_DAY, may_stand_in=True)
    with pytest.raises(StaleRound):
        changed(review, lead, expected_version=1, add=[lead])


def test_the_page_lets_the_lead_change_it_and_shows_everybody_what_and_why(client, machine, lead):
    reviewer, other = member(machine.project, Role.REVIEWER), member(machine.project, Role.APPROVER)
    review = asked(machine, [reviewer])
    client.force_login(reviewer)
    told = {"do": "change", "version": "1", "due_date": FAR, "reason": "Holidays", "add": [other.pk]}
    assert "Change this review" not in client.get(url("round-show", machine, review.pk)).content.decode()
    assert client.post(url("round-show", machine, review.pk), told).status_code == 403
    client.force_login(lead)
    assert "Change this review" in client.get(url("round-show", machine, review.pk)).content.decode()
    wrong = client.post(url("round-show", machine, review.pk), {**told, "reason": "", "due_date": "soon"})
    assert wrong.status_code == 422
    assert wrong.context["change_form"].errors.keys() == {"reason", "due_date"}
    assert client.post(url("round-show", machine, review.pk), told).status_code == 302
    stale = client.post(url("round-show", machine, review.pk), {**told, "reason": "Typed with care"})
    assert stale.status_code == 409
    assert "changed meanwhile" in stale.content.decode()
    assert "Typed with care" in stale.content.decode()
    client.force_login(reviewer)
    page = client.get(url("round-show", machine, review.pk)).content.decode()
    assert f"due <strong>{FAR}</strong> instead of {DUE}" in page
    assert f"asked also {other}" in page
    assert "Holidays" in page
    assert "(moved)" in client.get(url("comment-list", machine)).content.decode()


def test_people_outside_read_a_moved_day_and_nobody_elses_name(client, machine, lead):
    maker = member(machine.project, Role.MAKER)
    insider = member(machine.project, Role.REVIEWER)
    insider.name = "SECRET name"
    insider.save()
    review = asked(machine, [maker])
    changed(review, lead, add=[insider], reason="SECRET reason")
    changed(review, lead, due_date=LATER_DAY, reason="Two weeks more")
    client.force_login(maker)
    page = client.get(url("round-show", machine, review.pk)).content.decode()
    assert "Two weeks more" in page
    assert "SECRET" not in page
    changed(review, lead, excuse=[maker], reason="Answered by letter")
    page = client.get(url("round-show", machine, review.pk)).content.decode()
    assert "You are excused from this review" in page
    assert "Give this answer" not in page
    assert Reviewer.objects.get(round=review, person=maker).answer == ""
