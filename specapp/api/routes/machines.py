"""Machines of a project: list, read, add, replace, and hold a description against the rules."""

from django.core.paginator import Paginator
from django.http import HttpRequest
from django.utils import timezone
from ninja import Query, Router
from ninja.responses import Status

from specapp.api.finding import machine_of, project_of
from specapp.api.knocking import COSTLY
from specapp.api.machine_body import MACHINE_BODY, description_of
from specapp.api.routes.common import PAGE, Id, answering
from specapp.api.shapes import MachineList, MachineOut, Problems, Version
from specapp.api.telling import machine_told, machine_whole, page_told
from specapp.core.roles import Right
from specapp.projects.deciding.ground import machine_ground, project_ground
from specapp.projects.services import machine_create, machine_update

_ON_A_PAGE = 100
router = Router(tags=["Machines"])


@router.get("/projects/{id:project_id}/machines", response=answering(200, MachineList), url_name="machines")
def machine_list(request: HttpRequest, project_id: Id, page: int = PAGE):
    """List the machines of the project by tag, 100 a page."""
    access = project_of(request, project_id, Right.READ_DRAFT)
    shown = Paginator(access.project.machines.select_related("updated_by"), _ON_A_PAGE).get_page(page)
    return page_told(shown) | {"machines": [machine_told(machine) for machine in shown]}


@router.post(
    "/projects/{id:project_id}/machines",
    response=answering(201, MachineOut),
    openapi_extra=MACHINE_BODY,
    throttle=COSTLY,
    url_name="machines",
)
def machine_add(request: HttpRequest, project_id: Id):
    """Add a machine; the body is machine/1."""
    project = project_of(request, project_id, Right.EDIT_MACHINE).project
    machine = machine_create(
        project=project,
        description=description_of(request, project_ground(project.pk)),
        author=request.user,
        now=timezone.now(),
    )
    return Status(201, machine_whole(machine))


@router.post(
    "/projects/{id:project_id}/machines/validate",
    response=answering(200, Problems),
    openapi_extra=MACHINE_BODY,
    throttle=COSTLY,
    url_name="machine-validate",
)
def machine_validate(request: HttpRequest, project_id: Id):
    """Read a description under the project's criteria and save nothing; no problem is an empty list."""
    project = project_of(request, project_id, Right.READ_DRAFT).project
    description_of(request, project_ground(project.pk))
    return {"problems": []}


@router.get(
    "/projects/{id:project_id}/machines/{id:machine_id}",
    response=answering(200, MachineOut),
    url_name="machine",
)
def machine_read(request: HttpRequest, project_id: Id, machine_id: Id):
    """Read a machine with its description; `version` is asked for where it is replaced."""
    return machine_whole(machine_of(request, project_id, machine_id, Right.READ_DRAFT)[1])


@router.put(
    "/projects/{id:project_id}/machines/{id:machine_id}",
    response=answering(200, MachineOut),
    openapi_extra=MACHINE_BODY,
    throttle=COSTLY,
    url_name="machine",
)
def machine_replace(request: HttpRequest, project_id: Id, machine_id: Id, version: Query[Version]):
    """Replace a machine's description, if nobody else has saved since `version`: else 409.

    Pinions are told apart by their names (P1, P2... in their order where none is given). An override stays
    with its pinion's name: where that pinion then stands in another order, turns at another speed or gets
    another rule's value, it is to be confirmed again; where its name is no longer there, it is listed
    without an item. Both stand in the way of an issue for construction. Only the page, which knows which
    pinion was moved or renamed, takes overrides along to another name.
    """
    _, machine = machine_of(request, project_id, machine_id, Right.EDIT_MACHINE)
    stored = machine_update(
        machine=machine,
        description=description_of(request, machine_ground(machine)),
        expected_version=version,
        author=request.user,
        now=timezone.now(),
    )
    return machine_whole(stored)
