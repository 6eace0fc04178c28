"""Trip functions: all of them, and one."""

from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_safe

from specapp.assurance.presenting.functions import function_parts, list_parts
from specapp.assurance.views.pages import page
from specapp.core import display as display_choice
from specapp.core.roles import Right
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.presenting.header import machine_context, machine_reader
from specapp.projects.presenting.why import reason_line
from specapp.projects.views.unreadable import shows_problems


@require_safe
@shows_problems
def function_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal = machine_proposal(machine)
    chosen = display_choice.switch(request)
    context = machine_context(access, machine, proposal, chosen)
    reader = machine_reader(access, machine, proposal, chosen, False)
    base_url = reverse("assurance:function-list", args=[project_id, machine_id]) + "of/"
    return page(request, context, list_parts(proposal, reader, base_url), "function-list")


@require_safe
@shows_problems
def function_show(request: HttpRequest, project_id: int, machine_id: int, key: str) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal = machine_proposal(machine)
    keys = [function["key"] for function in proposal.safety_functions]
    if key not in keys:
        raise Http404
    place = keys.index(key)
    function = proposal.safety_functions[place]
    context = machine_context(access, machine, proposal, display_choice.switch(request))
    context |= {
        "title": function["title"],
        "function": function,
        "before": keys[place - 1] if place else "",
        "after": keys[place + 1] if place + 1 < len(keys) else "",
        "reasons": [reason_line(proposal.trace[index]) for index in function["trace"]],
    }
    parts = function_parts(function)
    return page(request, context, parts, "function-list", template="assurance/function.html")
