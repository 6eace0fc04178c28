"""What would turn the proposal: searched number by number, with progress, given up when nobody waits."""

import json
from collections.abc import Iterator

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core import display as display_choice
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.domain.machine import MachineDescription
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_ground
from specapp.projects.presenting.header import machine_context, machine_reader
from specapp.projects.presenting.reader import Reader
from specapp.projects.presenting.turning import (
    PASSING,
    POINTS,
    passing_table,
    points_table,
    turning_html,
    useful_facts_table,
)
from specapp.projects.views.unreadable import shows_problems
from specapp.projects.worked import Ground, criteria_for, described, proposal_for
from specapp.rulebook.turning_points import TurningPoints, search_turning_points, turning_points


@require_safe
@shows_problems
def machine_turning(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """The page; with `?search=now` it waits for the whole search, for readers without scripts."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    ground = machine_ground(machine)
    proposal = proposal_for(machine.description, ground)
    chosen = display_choice.switch(request)
    reader = machine_reader(access, machine, proposal, chosen, False)
    facts = useful_facts_table(proposal, reader)

    def searched() -> TurningPoints:
        description = described(machine.description, ground)
        return turning_points(description, criteria_for(ground.criteria, ground.confirmed), ground.overrides)

    lists = {
        "missing_facts": facts.schedule,
        POINTS: lambda: points_table(searched(), reader).schedule(),
        PASSING: lambda: passing_table(searched(), reader).schedule(),
    }
    if file := list_file(request, machine.tag, lists):
        return file
    context = machine_context(access, machine, proposal, chosen)
    context["facts"] = facts
    if request.GET.get("search") == "now":
        context["found"] = turning_html(searched(), reader)
    return render(request, "projects/turning.html", context)


@require_safe
@shows_problems
def machine_turning_search(request: HttpRequest, project_id: int, machine_id: int) -> StreamingHttpResponse:
    """One JSON line after each number, {"done", "total"}, and at the end {"html"}.

    A reader who goes away closes the answer, and with it the search.
    """
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    ground = machine_ground(machine)
    proposal = proposal_for(machine.description, ground)
    reader = machine_reader(access, machine, proposal, display_choice.AS_SET, False)
    lines = _search_lines(described(machine.description, ground), ground, reader)
    response = StreamingHttpResponse(lines, content_type="application/x-ndjson")
    response.headers["X-Accel-Buffering"] = "no"
    return response


def _search_lines(machine: MachineDescription, ground: Ground, reader: Reader) -> Iterator[str]:
    search = search_turning_points(machine, criteria_for(ground.criteria, ground.confirmed), ground.overrides)
    while True:
        try:
            step = next(search)
        except StopIteration as finished:
            yield json.dumps({"html": turning_html(finished.value, reader)}) + "\n"
            return
        yield json.dumps({"done": step.done, "total": step.total}) + "\n"
