"""Who may open what: a stranger finds nothing, a member without the right is told so."""

from dataclasses import dataclass

from django.core.exceptions import PermissionDenied
from django.db.models import Q
from django.http import Http404, HttpRequest
from django.utils import timezone

from specapp.core.roles import RIGHTS, Right, Role
from specapp.projects.models import Machine, Project


def rights_in(project: Project, role: Role) -> frozenset[Right]:
    """Return what a role may do in a project: clients read drafts only where the project says so."""
    if role == Role.CLIENT and project.clients_read_drafts:
        return RIGHTS[role] | {Right.READ_DRAFT}
    return RIGHTS[role]


def reading_drafts() -> Q:
    """Return which memberships let a person read machines as they stand."""
    roles = [role for role in Role if Right.READ_DRAFT in RIGHTS[role]]
    return Q(role__in=roles) | Q(role=Role.CLIENT, project__clients_read_drafts=True)


# Every page and every look at a change asks these two; put together from querysets they take twice as long.
_PROJECT = """
    SELECT own.*, member."role" AS "member_role"
    FROM "projects_project" own
    JOIN "projects_membership" member ON member."project_id" = own."id"
    WHERE own."id" = %s AND member."user_id" = %s
"""
_MACHINE = 'SELECT * FROM "projects_machine" WHERE "project_id" = %s AND "id" = %s'


@dataclass(frozen=True, slots=True)
class Access:
    """A project as one of its members sees it."""

    project: Project
    role: Role

    def may(self, right: Right) -> bool:
        return right in rights_in(self.project, self.role)

    @property
    def may_read_drafts(self) -> bool:
        return self.may(Right.READ_DRAFT)

    @property
    def may_edit_machines(self) -> bool:
        return self.may(Right.EDIT_MACHINE)

    @property
    def may_set_criteria(self) -> bool:
        return self.may(Right.SET_CRITERIA)

    @property
    def may_confirm_criteria(self) -> bool:
        return self.may(Right.CONFIRM_CRITERIA)

    @property
    def may_read_bids(self) -> bool:
        return self.may(Right.READ_BIDS)

    @property
    def may_manage(self) -> bool:
        return self.may(Right.MANAGE_PROJECT)


def project_or_404(request: HttpRequest, project_id: int, right: Right) -> Access:
    """Return the project if the person is a member, with the right asked for.

    Also switches to the project's time zone for the rest of the request.
    """
    for project in Project.objects.raw(_PROJECT, [project_id, request.user.pk]):
        access = Access(project, Role(project.member_role))
        if not access.may(right):
            raise PermissionDenied(f"As {access.role.label} of this project you may not {right.value}.")
        timezone.activate(project.time_zone)
        return access
    raise Http404


def machine_or_404(
    request: HttpRequest, project_id: int, machine_id: int, right: Right
) -> tuple[Access, Machine]:
    """Return a machine of the project under the same rules."""
    access = project_or_404(request, project_id, right)
    for machine in Machine.objects.raw(_MACHINE, [project_id, machine_id]):
        return access, machine
    raise Http404
