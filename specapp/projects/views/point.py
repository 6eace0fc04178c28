"""One measurement on one sheet."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core import display as display_choice
from specapp.core.roles import Right
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.presenting.header import machine_context
from specapp.projects.presenting.point_sheet import point_sheet
from specapp.projects.views.unreadable import shows_problems


@require_safe
@shows_problems
def point_show(request: HttpRequest, project_id: int, machine_id: int, key: str) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    display = display_choice.switch(request)
    proposal = machine_proposal(machine)
    context = machine_context(access, machine, proposal, display)
    context["sheet"] = point_sheet(proposal, key, context["display"])
    if context["sheet"] is None:
        raise Http404
    return render(request, "projects/point.html", context)
