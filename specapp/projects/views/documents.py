"""The documents of a machine, printed from its proposal as it stands: working, not issued."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe
from msgspec.structs import replace

from specapp.core import display as display_choice
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.documents.options import NOT_ISSUED, Options
from specapp.documents.registry import DOCUMENTS
from specapp.domain.proposal import Proposal
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import PageSize, Project
from specapp.projects.presenting.header import machine_context
from specapp.projects.views.unreadable import shows_problems

_PAPER = {PageSize.A4: "A4", PageSize.A3: "A3", PageSize.LETTER: "Letter", PageSize.TABLOID: "Tabloid"}
HAND_SHEETS = "hand_sheets"
_KINDS = {"pdf": "PDF", "xlsx": "workbook", "csv": "CSV", "svg": "drawing (SVG)", "json": "JSON"}


@require_safe
@shows_problems
def document_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    context = machine_context(access, machine, machine_proposal(machine), display_choice.switch(request))
    context["documents"] = [
        (document, _KINDS[document.filename.rsplit(".", 1)[1]]) for document in DOCUMENTS.values()
    ]
    context["paper_size"] = access.project.get_page_size_display()
    return render(request, "projects/documents.html", context)


@require_safe
@shows_problems
def document_download(request: HttpRequest, project_id: int, machine_id: int, key: str) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    document = DOCUMENTS.get(key)
    if document is None:
        raise Http404
    options = document_options(access.project, request)
    proposal = machine_proposal(machine)
    name = f"{safe_name(machine.tag)}_{document.filename}"
    if key == HAND_SHEETS and (asked := request.GET.get("point")):
        proposal = _of_one_point(proposal, asked)
        name = f"{safe_name(machine.tag)}_{safe_name(asked)}_{document.filename}"
    content = document.render(proposal, options)
    response = HttpResponse(content, content_type=document.media_type)
    disposition = (
        "inline" if request.GET.get("inline") and document.filename.endswith(".svg") else "attachment"
    )
    response.headers["Content-Disposition"] = f'{disposition}; filename="{name}"'
    return response


def _of_one_point(proposal: Proposal, key: str) -> Proposal:
    """Return a proposal with the points alone that share the setpoints of one."""
    group = next((point.voting_group for point in proposal.points if point.key == key), None)
    if group is None:
        raise Http404
    return replace(proposal, points=tuple(each for each in proposal.points if each.voting_group == group))


def document_options(project: Project, request: HttpRequest) -> Options:
    """Return paper, reader's units and title block entries of a working print."""
    display = display_choice.switch(request)
    invented = "invented, " if project.is_invented else ""
    return Options(
        page_size=_PAPER[PageSize(project.page_size)],
        display_units=display if display in ("si", "us") else None,
        project=str(project),
        standing=f"{invented}{NOT_ISSUED}",
    )
