"""The drawings of a machine: the same scenes as in its documents, every item leading to its point."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from specapp.core import display as display_choice
from specapp.core.roles import Right
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.presenting.drawings import ALL, KINDS, drawing, every_drawing
from specapp.projects.presenting.header import machine_context
from specapp.projects.views.unreadable import shows_problems


@require_safe
@shows_problems
def drawing_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    kind = request.GET.get("show", next(iter(KINDS)))
    if kind not in KINDS and kind != ALL:
        raise Http404
    proposal = machine_proposal(machine)
    place = (access.project.pk, machine.pk)
    points_url = reverse("projects:machine-show", args=place) + "points/"
    urls = points_url, reverse("projects:drawing-list", args=place)
    chosen = request.GET.get("shaft", ""), request.GET.get("chain", "")
    try:
        shown = every_drawing(proposal, *urls) if kind == ALL else [drawing(proposal, kind, *urls, *chosen)]
    except KeyError as error:
        raise Http404 from error
    context = machine_context(access, machine, proposal, display_choice.switch(request))
    context |= {"kinds": KINDS, "kind": kind, "drawings": shown, "one_chain": bool(chosen[1])}
    return render(request, "projects/drawings.html", context)
