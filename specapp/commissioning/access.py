"""Finding the rows that a page of commissioning is about, and who may sign as what."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest

from specapp.commissioning.models import Checklist, Measurement, Part
from specapp.core.roles import Right
from specapp.projects.access import Access, machine_or_404

SIGNING_RIGHTS = {Part.TESTED: Right.EDIT_MACHINE, Part.WITNESSED: Right.CHECK}


def checklist_or_404(
    request: HttpRequest, project_id: int, machine_id: int, checklist_id: int, right: Right
) -> tuple[Access, Checklist]:
    """Return a checklist of the machine under the rules of its project."""
    access, machine = machine_or_404(request, project_id, machine_id, right)
    row = Checklist.objects.select_related("made_by").filter(machine=machine, pk=checklist_id).first()
    if row is None:
        raise Http404
    machine.project = access.project
    row.machine = machine
    return access, row


def signer_or_403(access: Access, part: str) -> None:
    if part not in Part.values:
        raise Http404
    right = SIGNING_RIGHTS[Part(part)]
    if not access.may(right):
        raise PermissionDenied(f"As {access.role.label} of this project you may not {right.value}.")


def measurement_or_404(
    request: HttpRequest, project_id: int, machine_id: int, measurement_id: int, right: Right
) -> tuple[Access, Measurement]:
    """Return a record of the machine under the rules of its project."""
    access, machine = machine_or_404(request, project_id, machine_id, right)
    row = Measurement.objects.select_related("corrects").filter(machine=machine, pk=measurement_id).first()
    if row is None:
        raise Http404
    machine.project = access.project
    row.machine = machine
    return access, row
