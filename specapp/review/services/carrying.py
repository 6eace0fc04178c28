"""Carrying comments to the next revision, with what became of each."""

from collections.abc import Mapping
from datetime import datetime

from django.db import transaction
from django.db.models import F, Q, QuerySet

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.review.models import Comment, Entry, State, Step
from specapp.revisions.models import Revision


def to_carry(comments: QuerySet[Comment], revision: Revision) -> QuerySet[Comment]:
    """Return the comments that are not closed, were made before a revision and not carried to it."""
    return comments.exclude(
        Q(state=State.CLOSED) | Q(revision=revision, revision__isnull=False) | _carried(revision)
    ).filter(written_at__lte=revision.frozen_at)


def _carried(revision: Revision) -> Q:
    return Q(carried_to=revision, carried_to__isnull=False)


@transaction.atomic
def comments_carry(*, revision: Revision, fates: Mapping[int, str], author: User, now: datetime) -> int:
    """Carry comments to a revision and write what became of each into its row.

    `fates` holds, by the comment's number, what became of it; those closed or carried meanwhile are left
    as they are. Returns how many were carried.
    """
    rows = to_carry(Comment.objects.filter(machine=revision.machine_id, number__in=fates), revision)
    found = list(rows.select_for_update(of=("self",)).only("pk", "number"))
    if not found:
        return 0
    Entry.objects.bulk_create(
        Entry(
            comment=comment,
            step=Step.CARRY,
            text=f"to revision {revision.label}: {fates[comment.number]}",
            author=author,
            written_at=now,
        )
        for comment in found
    )
    Comment.objects.filter(pk__in=[comment.pk for comment in found]).update(
        carried_to=revision, version=F("version") + 1
    )
    entry_append(
        author=author,
        action="comment.carry",
        subject=revision,
        now=now,
        project_id=revision.machine.project_id,
        data={
            "of_machine": revision.machine_id,
            "label": revision.label,
            "comments": {str(comment.number): fates[comment.number] for comment in found},
        },
    )
    return len(found)
