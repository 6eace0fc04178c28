"""What revisions have for a person: candidates that wait for his or her signature, and new issues."""

from collections.abc import Iterator
from datetime import datetime

from django.db.models import Count
from django.urls import reverse

from specapp.core.mail.waiting import Waiting
from specapp.core.models import User
from specapp.core.roles import RIGHTS, Right, Role
from specapp.projects.models import Membership
from specapp.revisions.access import SIGNING_RIGHTS
from specapp.revisions.models import Issue, Revision, State
from specapp.revisions.services.numbering import asked_of
from specapp.revisions.services.signing import cannot_sign


def waiting_for_person(person: User, since: datetime, now: datetime) -> Iterator[Waiting]:
    """Yield the signatures asked of a person now, and the issues of others since a time."""
    rights = _rights(person)
    for row, part in signatures_asked(person):
        yield Waiting(
            1,
            "revision that you are asked to sign",
            "revisions that you are asked to sign",
            reverse("revisions:revision-show", args=[row.machine.project_id, row.machine_id, row.pk]),
            ask=f"sign:{row.pk}:{part}:{row.checksum[:32]}",
        )
    reading = _reading(rights)
    issued = Issue.objects.filter(project__in=reading, issued_at__gt=since, issued_at__lte=now)
    new = issued.exclude(issued_by=person).order_by("project").values_list("project")
    for project_id, count in new.annotate(count=Count("pk")):
        yield Waiting(count, "new issue", "new issues", reverse("revisions:issue-list", args=[project_id]))


def signatures_asked(person: User) -> list[tuple[Revision, str]]:
    """Return the candidates that a person may sign now, each with what he or she would sign as."""
    rights = _rights(person)
    candidates = Revision.objects.filter(machine__project__in=_reading(rights), state=State.CANDIDATE)
    rows = candidates.select_related("machine__project").prefetch_related("signatures").order_by("frozen_at")
    return [
        (row, part)
        for row in rows
        for part in asked_of(row.machine.project)[row.purpose].parts
        if SIGNING_RIGHTS[part] in rights[row.machine.project_id] and not cannot_sign(row, part, person)
    ]


def _rights(person: User) -> dict[int, frozenset[Right]]:
    return {row.project_id: RIGHTS[Role(row.role)] for row in Membership.objects.filter(user=person)}


def _reading(rights: dict[int, frozenset[Right]]) -> list[int]:
    return [project for project, held in rights.items() if Right.READ_DRAFT in held]
