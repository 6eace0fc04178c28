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
    rights = {row.project_id: RIGHTS[Role(row.role)] for row in Membership.objects.filter(user=person)}
    reading = [project for project, held in rights.items() if Right.READ_DRAFT in held]
    candidates = Revision.objects.filter(machine__project__in=reading, state=State.CANDIDATE)
    for row in candidates.select_related("machine__project").prefetch_related("signatures"):
        for part in asked_of(row.machine.project)[row.purpose].parts:
            if SIGNING_RIGHTS[part] in rights[row.machine.project_id] and not cannot_sign(row, part, person):
                place = [row.machine.project_id, row.machine_id, row.pk]
                yield Waiting(
                    1,
                    "revision that you are asked to sign",
                    "revisions that you are asked to sign",
                    reverse("revisions:revision-show", args=place),
                    ask=f"sign:{row.pk}:{part}:{row.checksum[:32]}",
                )
    issued = Issue.objects.filter(project__in=reading, issued_at__gt=since, issued_at__lte=now)
    new = issued.exclude(issued_by=person).order_by("project").values_list("project")
    for project_id, count in new.annotate(count=Count("pk")):
        yield Waiting(count, "new issue", "new issues", reverse("revisions:issue-list", args=[project_id]))
