"""Asking for a review, answering it, consolidating it, and ticking items as looked at."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.utils import timezone

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import NOTHING, InputErrors, Problem
from specapp.projects.models import Machine
from specapp.review.errors import NotNow, StaleRound
from specapp.review.models import LONGEST_REASON, LONGEST_TEXT, Answer, Look, ReplyCode, Reviewer, Round
from specapp.revisions.models import Revision

MOST_REVIEWERS = 30


@transaction.atomic
def round_open(
    *,
    machine: Machine,
    purpose: str,
    due_date: date,
    lead: User,
    reviewers: Iterable[User],
    author: User,
    now: datetime,
    revision: Revision | None = None,
) -> Round:
    """Ask named people for a review of a revision, or of the working draft, by a day.

    Raises `InputErrors` with every problem.
    """
    people = list(dict.fromkeys(reviewers))
    problems = []
    if not purpose.strip():
        problems.append(Problem("purpose", NOTHING, "what the review is for, such as inter-discipline check"))
    if not 1 <= len(people) <= MOST_REVIEWERS:
        problems.append(
            Problem("reviewers", str(len(people)) if people else NOTHING, f"1 to {MOST_REVIEWERS} people")
        )
    if due_date < timezone.localdate(now):
        problems.append(Problem("due date", due_date.isoformat(), "today or later"))
    if problems:
        raise InputErrors(problems)
    review = Round(
        machine=machine,
        purpose=purpose.strip(),
        revision=revision,
        machine_version=machine.version if revision is None else revision.machine_version,
        due_date=due_date,
        lead=lead,
        opened_by=author,
        opened_at=now,
    )
    review.full_clean()
    review.save()
    Reviewer.objects.bulk_create(Reviewer(round=review, person=person) for person in people)
    _record(
        "review.ask",
        review,
        author,
        now,
        reviewers=[person.pk for person in people],
        lead=lead.pk,
        revision=revision and revision.label,
    )
    return review


@transaction.atomic
def round_answer(*, review: Round, answer: Answer, note: str, author: User, now: datetime) -> Reviewer:
    """Give a named reviewer's answer; silence is none. It may be given anew until the lead consolidates."""
    stored = Round.objects.select_for_update(of=("self",)).get(pk=review.pk)
    if stored.consolidated_at is not None:
        raise NotNow("This review is consolidated; what comes now belongs to the next one.")
    row = Reviewer.objects.filter(round=stored, person=author).first()
    if row is None:
        raise NotNow("You are not among the reviewers named for this review.")
    if row.excused_at is not None:
        raise NotNow("You are excused from this review; its lead can ask you again.")
    row.answer, row.note, row.answered_at = answer, note.strip()[:LONGEST_REASON], now
    row.save()
    _record("review.answer", stored, author, now, answer=answer, note=row.note)
    return row


@transaction.atomic
def round_consolidate(
    *,
    review: Round,
    expected_version: int,
    outcome: str,
    code: ReplyCode,
    may_stand_in: bool,
    author: User,
    now: datetime,
) -> Round:
    """Close a round by its lead, with one outcome for all; whoever has not answered stays named in it.

    `may_stand_in` lets another person do it, where the lead cannot.

    Raises `StaleRound`, `NotNow`, and `InputErrors` where the outcome is not put in words.
    """
    stored = Round.objects.select_for_update(of=("self",)).get(pk=review.pk)
    if stored.version != expected_version:
        raise StaleRound(stored)
    if stored.consolidated_at is not None:
        raise NotNow("It is consolidated already.")
    if stored.lead_id != author.pk and not may_stand_in:
        raise NotNow(f"Only its lead, {stored.lead}, or an owner of the project consolidates it.")
    if not outcome.strip():
        raise InputErrors([Problem("outcome", NOTHING, "the outcome in words")])
    if len(outcome.strip()) > LONGEST_TEXT:
        found = f"{len(outcome.strip())} characters"
        raise InputErrors([Problem("outcome", found, f"at most {LONGEST_TEXT} characters")])
    stored.outcome = outcome.strip()
    stored.code, stored.code_meaning = code.code, code.meaning
    stored.may_proceed, stored.resubmit = code.may_proceed, code.resubmit
    stored.consolidated_by, stored.consolidated_at = author, now
    stored.version += 1
    stored.save()
    silent = list(stored.reviewers.filter(answer="", excused_at=None).values_list("person_id", flat=True))
    _record("review.consolidate", stored, author, now, outcome=stored.outcome, code=code.code, silent=silent)
    return stored


@transaction.atomic
def looks_set(
    *, machine: Machine, person: User, digests: dict[str, str], seen: set[str], now: datetime
) -> int:
    """Tick items as looked at, and only those; `digests` holds what each item of the form said.

    Returns how many ticks changed. An item ticked before keeps its day unless it says something else now.
    """
    held = {row.item: row for row in Look.objects.filter(machine=machine, person=person, item__in=digests)}
    gone = [row.pk for item, row in held.items() if item not in seen]
    fresh = [item for item in seen & digests.keys() if item not in held or held[item].digest != digests[item]]
    if not gone and not fresh:
        return 0
    Look.objects.filter(pk__in=[*gone, *(held[item].pk for item in fresh if item in held)]).delete()
    Look.objects.bulk_create(
        Look(machine=machine, person=person, item=item, digest=digests[item], looked_at=now) for item in fresh
    )
    entry_append(
        author=person,
        action="review.look",
        subject=machine,
        now=now,
        project_id=machine.project_id,
        data={"of_machine": machine.pk, "seen": sorted(fresh), "no_longer": len(gone)},
    )
    return len(gone) + len(fresh)


def _record(action: str, review: Round, author: User, now: datetime, **data: object) -> None:
    entry_append(
        author=author,
        action=action,
        subject=review,
        now=now,
        project_id=review.machine.project_id,
        data={"of_machine": review.machine_id, **data},
    )
