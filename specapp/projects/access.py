"""Who may open what: a stranger finds nothing, a member without the right is told so."""

from dataclasses import dataclass

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.utils import timezone

from specapp.core.roles import RIGHTS, Right, Role
from specapp.projects.models import Machine, Membership, Project


@dataclass(frozen=True, slots=True)
class Access:
    """A project as one of its members sees it."""

    project: Project
    role: Role

    def may(self, right: Right) -> bool:
        return right in RIGHTS[self.role]

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
    membership = (
        Membership.objects.select_related("project").filter(project=project_id, user=request.user).first()
    )
    if membership is None:
        raise Http404
    access = Access(membership.project, Role(membership.role))
    if not access.may(right):
        raise PermissionDenied(
            f"As {membership.get_role_display()} of this project you may not {right.value}."
        )
    timezone.activate(access.project.time_zone)
    return access


def machine_or_404(
    request: HttpRequest, project_id: int, machine_id: int, right: Right
) -> tuple[Access, Machine]:
    """Return a machine of the project under the same rules."""
    access = project_or_404(request, project_id, right)
    machine = (
        Machine.objects.select_related("updated_by").filter(project=access.project, pk=machine_id).first()
    )
    if machine is None:
        raise Http404
    return access, machine
