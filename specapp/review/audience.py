"""Who reads which comments: every page, file and count asks here."""

from django.db.models import Q, QuerySet
from django.http import HttpRequest

from specapp.core.models import User
from specapp.core.roles import Right, Role
from specapp.projects.access import Access, machine_or_404
from specapp.projects.models import Machine
from specapp.review.models import Audience, Comment

# A role outside the owner's company reads what is addressed to it; anyone reads what he wrote himself.
_OUTSIDE = {Role.CLIENT: Audience.CLIENT, Role.MAKER: Audience.MAKER}


def is_outside(role: Role) -> bool:
    """Tell whether a role stands outside the owner's company."""
    return role in _OUTSIDE


def readable(role: Role, person: User) -> Q:
    """Return which comments a person in a role may read."""
    own = _OUTSIDE.get(role)
    return Q() if own is None else Q(audience=own) | Q(author=person)


def comments_for(access: Access, person: User, machine: Machine) -> QuerySet[Comment]:
    """Return the comments on a machine that a person may read."""
    return Comment.objects.filter(readable(access.role, person), machine=machine)


def audiences_of(access: Access) -> list[tuple[str, str]]:
    """Return the audiences a person may address, as choices: people outside reach their own alone."""
    own = _OUTSIDE.get(access.role)
    return list(Audience.choices) if own is None else [(own.value, own.label)]


def review_or_404(
    request: HttpRequest, project_id: int, machine_id: int, right: Right = Right.READ_COMMENTS
) -> tuple[Access, Machine]:
    """Return a machine to a member who may take part in its review."""
    return machine_or_404(request, project_id, machine_id, right)
