"""What the review has for a person: new comments, answers to his or her own, reviews asked for."""

from collections.abc import Iterator
from datetime import datetime

from django.db.models import Count, Exists, Min, OuterRef
from django.urls import reverse

from specapp.core.mail.waiting import Waiting
from specapp.core.models import User
from specapp.core.roles import Right, Role
from specapp.projects.access import Access
from specapp.projects.models import Machine, Membership
from specapp.review.audience import comments_for
from specapp.review.models import Comment, Entry, Reviewer, RoundChange, State


def waiting_for_person(person: User, since: datetime, now: datetime) -> Iterator[Waiting]:
    """Yield the new and the waiting of each machine whose comments the person may read."""
    memberships = Membership.objects.filter(user=person).select_related("project")
    accesses = {row.project_id: Access(row.project, Role(row.role)) for row in memberships}
    readable = [pk for pk, access in accesses.items() if access.may(Right.READ_COMMENTS)]
    yield from _asked(person, [pk for pk, access in accesses.items() if access.may(Right.COMMENT)])
    touched = Comment.objects.filter(machine__project__in=readable, written_at__gt=since).values("machine")
    for machine in Machine.objects.filter(pk__in=touched).order_by("pk"):
        rows = comments_for(accesses[machine.project_id], person, machine)
        new = rows.filter(written_at__gt=since, written_at__lte=now).exclude(author=person)
        told = new.order_by().aggregate(count=Count("pk"), first=Min("number"))
        # The page that leads to the first of them, wherever in a long sheet that stands.
        news = reverse("review:comment-news", args=[machine.project_id, machine.pk])
        path = f"{news}?after={(told['first'] or 1) - 1}"
        yield Waiting(told["count"], "new comment", "new comments", path)
    yield from _answered(person, readable, since, now)


def _asked(person: User, answering: list[int]) -> Iterator[Waiting]:
    rows = Reviewer.objects.filter(
        person=person,
        answer="",
        excused_at=None,
        round__consolidated_at=None,
        round__machine__project__in=answering,
    )
    moved = RoundChange.objects.filter(round=OuterRef("round"), due_is__isnull=False)
    for row in rows.annotate(is_moved=Exists(moved)).select_related("round__machine"):
        machine = row.round.machine
        # Another day is another question: it is told again, once.
        day = f":{row.round.due_date.isoformat()}" if row.is_moved else ""
        yield Waiting(
            1,
            "review that you are asked to answer",
            "reviews that you are asked to answer",
            reverse("review:round-show", args=[machine.project_id, machine.pk, row.round_id]),
            ask=f"review:{row.round_id}{day}",
        )


def _answered(person: User, readable: list[int], since: datetime, now: datetime) -> Iterator[Waiting]:
    """Yield a person's own comments that others have answered and that are not closed."""
    replied = Entry.objects.filter(written_at__gt=since, written_at__lte=now).exclude(author=person)
    own = Comment.objects.filter(
        author=person, machine__project__in=readable, pk__in=replied.values("comment")
    ).exclude(state=State.CLOSED)
    counts: dict[tuple[int, int], int] = {}
    for place in own.order_by("machine").values_list("machine__project", "machine"):
        counts[place] = counts.get(place, 0) + 1
    for (project_id, machine_id), count in counts.items():
        yield Waiting(
            count,
            "comment of yours that was answered",
            "comments of yours that were answered",
            f"{_sheet(project_id, machine_id)}?mine=1",
        )


def _sheet(project_id: int, machine_id: int) -> str:
    return reverse("review:comment-list", args=[project_id, machine_id])
