"""Lists as files: the machines of a project, and every list of a machine's proposal."""

from collections.abc import Callable, Mapping

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core import display as display_choice
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.documents import schedules
from specapp.documents.csv_files import csv_bytes
from specapp.documents.registry import CSV, JSON, XLSX
from specapp.documents.schedules import Schedule
from specapp.documents.workbook import write_workbook
from specapp.domain.proposal import Proposal
from specapp.lists.exporting import table_csv, table_json, table_workbook
from specapp.projects.access import machine_or_404, project_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.presenting.header import machine_context
from specapp.projects.views.documents import document_options
from specapp.projects.views.unreadable import shows_problems

_MACHINES = {"csv": (CSV, table_csv), "xlsx": (XLSX, table_workbook), "json": (JSON, table_json)}
SCHEDULES: Mapping[str, tuple[str, Callable[[Proposal], Schedule]]] = {
    "points": ("Points", schedules.instrument_index),
    "setpoints": ("Setpoints", schedules.setpoints),
    "checks": ("Installation checks", schedules.checks),
    "open_points": ("Open points", schedules.open_points),
    "assumptions": ("Assumptions", schedules.assumptions),
    "bill": ("Bill of materials", schedules.bill),
    "cause_and_effect": ("Cause and effect", schedules.cause_and_effect),
    "responsibility": ("Who supplies what", schedules.responsibility),
    "cables": ("Cables", schedules.cables),
    "boxes": ("Junction boxes", schedules.boxes),
    "criteria": ("Criteria used", schedules.criteria),
}


def _file(content: bytes, media_type: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=media_type)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@require_safe
def machine_list(request: HttpRequest, project_id: int, kind: str) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    if kind not in _MACHINES:
        raise Http404
    media_type, write = _MACHINES[kind]
    descriptions = list(access.project.machines.values_list("description", flat=True))
    name = safe_name(access.project.file_name) or "project"
    return _file(write(descriptions), media_type, f"{name}_machines.{kind}")


@require_safe
@shows_problems
def schedule_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal = machine_proposal(machine)
    context = machine_context(access, machine, proposal, display_choice.switch(request))
    context["lists"] = [(key, title, len(make(proposal).rows)) for key, (title, make) in SCHEDULES.items()]
    return render(request, "lists/schedules.html", context)


@require_safe
@shows_problems
def schedule_file(
    request: HttpRequest, project_id: int, machine_id: int, key: str, kind: str
) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    if key not in SCHEDULES or kind not in ("csv", "xlsx"):
        raise Http404
    title, make = SCHEDULES[key]
    proposal = machine_proposal(machine)
    name = f"{safe_name(machine.tag)}_{key}.{kind}"
    if kind == "csv":
        return _file(csv_bytes(make(proposal)), CSV, name)
    return _file(
        write_workbook(proposal, document_options(access.project, request), title, [make]), XLSX, name
    )
