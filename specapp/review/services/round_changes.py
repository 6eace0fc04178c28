"""Changing a round after asking: another day, one more reviewer, one excused; never an answer undone."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import NOTHING, InputErrors, Problem
from specapp.review.errors import NotNow, StaleRound
from specapp.review.models import LONGEST_REASON, Reviewer, Round, RoundChange
from specapp.review.services.rounds import MOST_REVIEWERS


@transaction.atomic
def round_change(
    *,
    review: Round,
    expected_version: int,
    due_date: date,
    add: Iterable[User],
    excuse: Iterable[User],
    reason: str,
    may_stand_in: bool,
    author: User,
    now: datetime,
) -> RoundChange:
    """Change by when a round is answered and by whom, as its lead; `may_stand_in` lets another person do it.

    Somebody excused before may be added again. Whoever has answered cannot be excused: the answer stands.

    Raises `StaleRound` where the round has changed, `NotNow` where it is consolidated or not the author's,
    `InputErrors` with every problem.
    """
    stored = Round.objects.select_for_update(of=("self",)).get(pk=review.pk)
    if stored.version != expected_version:
        raise StaleRound(stored)
    if stored.consolidated_at is not None:
        raise NotNow("This review is consolidated; ask for a new one.")
    if stored.lead_id != author.pk and not may_stand_in:
        raise NotNow(f"Only its lead, {stored.lead}, or an owner of the project changes it.")
    named = {row.person_id: row for row in stored.reviewers.select_related("person")}
    asked = {person for person, row in named.items() if row.excused_at is None}
    added = [person for person in dict.fromkeys(add) if person.pk not in asked]
    excused = [person for person in dict.fromkeys(excuse) if person.pk in asked]
    told = reason.strip()
    is_moved = due_date != stored.due_date
    problems = []
    if not told or len(told) > LONGEST_REASON:
        found = f"{len(told)} characters" if told else NOTHING
        problems.append(Problem("reason", found, f"the reason, at most {LONGEST_REASON} characters"))
    if is_moved and due_date < timezone.localdate(now):
        problems.append(Problem("due date", due_date.isoformat(), "today or later, or the day as it is"))
    answered = ", ".join(str(person) for person in excused if named[person.pk].answer)
    if answered:
        problems.append(Problem("excused", f"{answered}, who answered", "people who have not answered"))
    left = len(asked) - len(excused) + len(added)
    if not 1 <= left <= MOST_REVIEWERS:
        problems.append(Problem("reviewers", f"{left} left", f"1 to {MOST_REVIEWERS} people"))
    if not (is_moved or added or excused):
        problems.append(Problem("change", NOTHING, "another day, somebody added or somebody excused"))
    if problems:
        raise InputErrors(problems)
    for person in excused:
        named[person.pk].excused_at = now
        named[person.pk].save(update_fields=["excused_at"])
    for person in added:
        Reviewer.objects.update_or_create(round=stored, person=person, defaults={"excused_at": None})
    change = RoundChange(
        round=stored,
        due_was=stored.due_date if is_moved else None,
        due_is=due_date if is_moved else None,
        added=[person.pk for person in added],
        excused=[person.pk for person in excused],
        reason=told,
        author=author,
        changed_at=now,
    )
    change.full_clean()
    change.save()
    stored.due_date = due_date
    stored.version += 1
    stored.save()
    entry_append(
        author=author,
        action="review.change",
        subject=stored,
        now=now,
        project_id=stored.machine.project_id,
        data={
            "of_machine": stored.machine_id,
            "due_was": change.due_was and change.due_was.isoformat(),
            "due_is": change.due_is and change.due_is.isoformat(),
            "added": change.added,
            "excused": change.excused,
            "reason": told,
        },
    )
    return change
