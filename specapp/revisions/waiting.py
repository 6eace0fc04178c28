"""What revisions have for a person: candidates that wait for his or her signature, and new issues."""

from collections.abc import Iterator
from datetime import datetime

from django.db.models import Count, Q
from django.urls import reverse

from specapp.core.mail.waiting import Waiting
from specapp.core.models import User
from specapp.core.roles import Right, Role
from specapp.projects.access import rights_in
from specapp.projects.models import Membership
from specapp.revisions.access import SIGNING_RIGHTS
from specapp.revisions.models import Revision, State
from specapp.revisions.readers import issues_read_by, lines_naming
from specapp.revisions.services.numbering import asked_of
from specapp.revisions.services.signing import cannot_sign


def waiting_for_person(person: User, since: datetime, now: datetime) -> Iterator[Waiting]:
    """Yield the signatures asked of a person now, and the issues of others since a time."""
    for row, part in signatures_asked(person):
        yield Waiting(
            1,
            "revision that you are asked to sign",
            "revisions that you are asked to sign",
            reverse("revisions:revision-show", args=[row.machine.project_id, row.machine_id, row.pk]),
            ask=f"sign:{row.pk}:{part}:{row.checksum[:32]}",
        )
    lines = lines_naming(person).filter(sent_at__gt=since, sent_at__lte=now)
    issued = Q(issued_at__gt=since, issued_at__lte=now) | Q(pk__in=lines.values("issue"))
    issues = issues_read_by(person).filter(issued).exclude(issued_by=person)
    new = issues.order_by("project").values_list("project")
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
    memberships = Membership.objects.filter(user=person).select_related("project")
    return {row.project_id: rights_in(row.project, Role(row.role)) for row in memberships}


def _reading(rights: dict[int, frozenset[Right]]) -> list[int]:
    return [project for project, held in rights.items() if Right.READ_DRAFT in held]
