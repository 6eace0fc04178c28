"""Who reads which comments: every page, file and count asks here."""

from django.db.models import Q, QuerySet
from django.http import Http404, HttpRequest

from specapp.core.models import User
from specapp.core.roles import Right, Role
from specapp.projects.access import Access, machine_or_404
from specapp.projects.models import Machine
from specapp.review.models import Audience, Comment, Reviewer
from specapp.revisions.models import Revision
from specapp.revisions.readers import issues_of

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
    """Return a machine to a member who may take part in its review.

    Raises `Http404` to people outside whom it does not concern: they would learn its tag.
    """
    access, machine = machine_or_404(request, project_id, machine_id, right)
    if not access.may_read_drafts and not _concerns(access, request.user, machine):
        raise Http404
    return access, machine


def _concerns(access: Access, person: User, machine: Machine) -> bool:
    """Tell whether something of a machine was sent to a person outside, asked of him or addressed to him."""
    return (
        Revision.objects.filter(machine=machine, issue__in=issues_of(access, person)).exists()
        or Reviewer.objects.filter(round__machine=machine, person=person).exists()
        or comments_for(access, person, machine).exists()
    )
