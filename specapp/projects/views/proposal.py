"""A machine's proposal: the verdict, then everything in sections, and the answer to any "why"."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core import display as display_choice
from specapp.core.htmx import varies, wants_fragment
from specapp.core.roles import Right
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.selectors import setpoint_values
from specapp.projects.presenting.decisions import decisions_of
from specapp.projects.presenting.header import machine_context, machine_reader
from specapp.projects.presenting.sections import sections
from specapp.projects.presenting.why import why_answer
from specapp.projects.services import machine_recount
from specapp.projects.views.unreadable import shows_problems


@require_safe
@shows_problems
def machine_show(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    display = display_choice.switch(request)
    proposal = machine_proposal(machine)
    machine_recount(machine=machine, proposal=proposal)
    context = machine_context(access, machine, proposal, display)
    if asked := request.GET.get("why"):
        context["why"] = why_answer(proposal, asked, context["display"])
        if context["why"] is None:
            raise Http404
    if wants_fragment(request) and "why" in request.GET:
        return varies(render(request, "projects/proposal.html#why", context))
    only_needs = request.GET.get("show") == "needs"
    context["only_needs"] = only_needs
    decisions = decisions_of(proposal, setpoint_values(machine))
    reader = machine_reader(access, machine, proposal, display, only_needs, decisions)
    context["sections"] = sections(proposal, reader)
    return varies(render(request, "projects/proposal.html", context))
