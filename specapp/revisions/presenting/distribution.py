"""The distribution list of an issue: whom it was sent to, and who has confirmed that it arrived."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from specapp.core.roles import Role
from specapp.projects.models import Membership
from specapp.revisions.models import Issue, Receipt


@dataclass(frozen=True, slots=True)
class SentLine:
    """One line of the list: who has confirmed receipt, and who has not yet.

    `added` says when and by whom the line was added later, None for lines of the issue itself.
    """

    to: str
    role: str
    added: tuple[datetime, str] | None
    received: Sequence[Receipt]
    waits: Sequence[str]


def sent_lines(issue: Issue) -> list[SentLine]:
    """Return the lines of a distribution list, with the receipts that belong to each.

    A receipt stands with the person's own line, or else with the line of the role held when it was given.
    """
    memberships = list(Membership.objects.filter(project=issue.project_id).select_related("user"))
    roles = {row.user_id: Role(row.role) for row in memberships}
    receipts = list(issue.receipts.all())
    received = {row.person_id for row in receipts}
    lines = list(issue.distribution.all())
    named = {line.person_id for line in lines}
    found = []
    for line in lines:
        added = None if line.sent_at == issue.issued_at else (line.sent_at, line.sent_by_name)
        if line.role:
            own = [row for row in receipts if row.role == line.role and row.person_id not in named]
            waits = [
                str(row.user)
                for row in memberships
                if row.role == line.role and row.user_id not in received | named and row.user.is_active
            ]
            found.append(SentLine(f"Every {line.get_role_display()}", "", added, own, waits))
            continue
        own = [row for row in receipts if row.person_id == line.person_id]
        role = roles.get(line.person_id)
        told = "no longer in the project" if role is None else role.label
        waits = [] if own or role in (None, Role.BIDDER) else [line.person_name]
        found.append(SentLine(line.person_name, told, added, own, waits))
    return found
