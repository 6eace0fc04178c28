"""Loops, and the entity comparison of those that are intrinsically safe."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from specapp.assurance.presenting.loops import entity_parts, loop_parts
from specapp.assurance.presenting.parts import Part
from specapp.assurance.views.pages import page
from specapp.core import display as display_choice
from specapp.core.roles import Right
from specapp.domain.proposal import Proposal
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.presenting.header import machine_context, machine_reader
from specapp.projects.presenting.reader import Reader
from specapp.projects.views.unreadable import shows_problems


@require_safe
@shows_problems
def loop_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    return _page(request, project_id, machine_id, loop_parts, "loop-list")


@require_safe
@shows_problems
def entity_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    return _page(request, project_id, machine_id, entity_parts, "entity-list")


def _page(
    request: HttpRequest,
    project_id: int,
    machine_id: int,
    parts: Callable[[Proposal, Reader], list[Part]],
    here: str,
) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal = machine_proposal(machine)
    chosen = display_choice.switch(request)
    context = machine_context(access, machine, proposal, chosen)
    reader = machine_reader(access, machine, proposal, chosen, False)
    return page(request, context, parts(proposal, reader), here)
