"""What waits for a person in every review, counted in three queries."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Count, Q

from specapp.core.models import User
from specapp.core.roles import RIGHTS, Right, Role
from specapp.projects.models import Machine, Membership
from specapp.review.audience import is_outside, readable
from specapp.review.models import Comment, State
from specapp.review.selectors import overdue_on


@dataclass(frozen=True, slots=True)
class MyMachine:
    """What waits for a person on one machine; counts are of what that person may read."""

    machine: Machine
    to_answer: int
    overdue: int
    to_close: int
    addressed: int


def my_machines(person: User, today: date) -> list[MyMachine]:
    """Return, by machine, the comments that a person is to answer or to close, or that address his side."""
    may_read, answers, outside = _mine(person)
    counted = {
        row["machine"]: row
        for row in Comment.objects.filter(may_read)
        .exclude(state=State.CLOSED)
        .order_by()
        .values("machine")
        .annotate(
            to_answer=Count("pk", filter=Q(state=State.OPEN) & answers),
            overdue=Count("pk", filter=overdue_on(today) & answers),
            to_close=Count("pk", filter=Q(state=State.ANSWERED, author=person)),
            addressed=Count("pk", filter=Q(state=State.OPEN) & outside),
        )
    }
    wanted = [pk for pk, row in counted.items() if row["to_answer"] or row["to_close"] or row["addressed"]]
    machines = Machine.objects.filter(pk__in=wanted).select_related("project").defer("description", "counts")
    names = ("to_answer", "overdue", "to_close", "addressed")
    return [MyMachine(machine, **{name: counted[machine.pk][name] for name in names}) for machine in machines]


def _mine(person: User) -> tuple[Q, Q, Q]:
    """Return which comments a person may read, which to answer, and which address his side."""
    may_read, answers, outside = Q(pk__in=[]), Q(pk__in=[]), Q(pk__in=[])
    roles: dict[Role, list[int]] = {}
    for project, role in Membership.objects.filter(user=person).values_list("project", "role"):
        roles.setdefault(Role(role), []).append(project)
    for role, projects in roles.items():
        rights, here = RIGHTS[role], Q(machine__project__in=projects)
        if Right.READ_COMMENTS in rights:
            may_read |= here & readable(role, person)
        if Right.ANSWER_COMMENTS in rights:
            answers |= here
        if Right.COMMENT in rights and is_outside(role):
            outside |= here & ~Q(author=person)
    return may_read, answers, outside
