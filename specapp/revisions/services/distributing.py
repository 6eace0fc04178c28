"""Sending an issue to people of the project, also later, and saying that it arrived."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.core.roles import Role
from specapp.projects.models import Membership, Project
from specapp.revisions.errors import Refused
from specapp.revisions.models import SENT_TO, Issue, Receipt, Recipient
from specapp.revisions.readers import is_sent


@dataclass(frozen=True, slots=True)
class Addressed:
    """Whom an issue goes to: everybody who holds a role, or one person; the other of the two is None."""

    role: Role | None = None
    person: User | None = None

    def __str__(self) -> str:
        return f"every {self.role.label}" if self.role else str(self.person)


def distribution_write(
    issue: Issue, addressed: Iterable[Addressed], author: User, now: datetime
) -> list[Recipient]:
    """Add lines to a distribution list, each once, under a lock that the caller holds.

    Raises `Refused` for a bidder, for somebody who is no member, and for a role nothing is sent to.
    """
    there = {(line.role, line.person_id) for line in issue.distribution.all()}
    written = []
    for each in dict.fromkeys(addressed):
        _sendable(issue.project, each)
        role, person = each.role.value if each.role else "", each.person
        if (role, person.pk if person else None) in there:
            continue
        line = Recipient(
            issue=issue,
            role=role,
            person=person,
            person_name=person.get_full_name()[:200] if person else "",
            sent_at=now,
            sent_by=author,
            sent_by_name=author.get_full_name()[:200],
        )
        line.full_clean()
        line.save()
        written.append(line)
    return written


def distribution_told(lines: Iterable[Recipient]) -> list[list[Any]]:
    """Return lines as the record keeps them: a role and None, or a name and the number of a person."""
    return [[str(line), line.person_id] for line in lines]


@transaction.atomic
def issue_distribute(
    *, issue: Issue, addressed: Sequence[Addressed], author: User, now: datetime
) -> list[Recipient]:
    """Send an issue to more people. What was issued stays as it is; the list grows by lines of this moment.

    Raises `Refused` where nobody is chosen, or nobody who is not on the list already.
    """
    if not addressed:
        raise Refused("Choose at least one to send it to.")
    Project.objects.select_for_update().get(pk=issue.project_id)
    written = distribution_write(issue, addressed, author, now)
    if not written:
        raise Refused("Everybody chosen is on the distribution list already.")
    entry_append(
        author=author,
        action="issue.distribute",
        subject=issue,
        now=now,
        project_id=issue.project_id,
        data={"number": issue.number, "sent_to": distribution_told(written)},
    )
    return written


@transaction.atomic
def issue_receive(*, issue: Issue, person: User, role: Role, now: datetime) -> bool:
    """Note that an issue arrived; return False where that person has said so before.

    Raises `Refused` where the issue was not sent to that person.
    """
    Project.objects.select_for_update().get(pk=issue.project_id)
    if not is_sent(issue, role, person):
        raise Refused("This issue was not sent to you: there is nothing to confirm.")
    if issue.receipts.filter(person=person).exists():
        return False
    Receipt.objects.create(
        issue=issue, person=person, person_name=person.get_full_name()[:200], role=role, received_at=now
    )
    entry_append(
        author=person,
        action="issue.receive",
        subject=issue,
        now=now,
        project_id=issue.project_id,
        data={"number": issue.number, "role": role.label},
    )
    return True


def _sendable(project: Project, each: Addressed) -> None:
    if each.role is not None:
        if each.role not in SENT_TO:
            raise Refused(f"Nothing is sent to everybody who is {each.role.label}.")
        return
    membership = Membership.objects.filter(project=project, user=each.person).first()
    if membership is None:
        raise Refused(f"{each.person} is no member of this project.")
    if membership.role == Role.BIDDER:
        raise Refused(f"{each.person} is a bidder: what bidders get is sent under an enquiry.")
