"""One measurement on one sheet."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from specapp.core import display as display_choice
from specapp.core.roles import Right
from specapp.domain.proposal import Point, Proposal
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import proposal_and_overrides
from specapp.projects.deciding.items import Item, item_of, settable
from specapp.projects.deciding.selectors import setpoint_values
from specapp.projects.presenting.decisions import override_lines, set_text, value_lines
from specapp.projects.presenting.header import machine_context
from specapp.projects.presenting.override_tables import override_table
from specapp.projects.presenting.point_sheet import point_sheet
from specapp.projects.presenting.point_working import history, point_working
from specapp.projects.selectors import machine_record
from specapp.projects.views.unreadable import shows_problems


def _settable(proposal: Proposal, point: Point) -> list[tuple[Item, str]]:
    items = [item_of(proposal, key, field) for key, field in settable(point)]
    return [(item, set_text(item, item.value)) for item in items]


@require_safe
@shows_problems
def point_show(request: HttpRequest, project_id: int, machine_id: int, key: str) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    display = display_choice.switch(request)
    proposal, overrides = proposal_and_overrides(machine)
    context = machine_context(access, machine, proposal, display)
    context["sheet"] = point_sheet(proposal, key, context["display"])
    if context["sheet"] is None:
        raise Http404
    point = context["sheet"].point
    own = {point.key, point.voting_group}
    context["settable"] = _settable(proposal, point) if access.may_edit_machines else []
    rows = [row for row in overrides if row.item in own]
    context["lines"] = override_lines(proposal, rows, context["display"])
    context["override_table"] = override_table("Set here", context["lines"], access, machine)
    context["values"] = value_lines(
        (value for value in setpoint_values(machine) if value.item in own), point, context["display"]
    )
    place = (access.project.pk, machine.pk)
    points_url = reverse("projects:machine-show", args=place) + "points/"
    drawings_url = reverse("projects:drawing-list", args=place)
    context["working"] = point_working(
        proposal, point.key, points_url, drawings_url, f"working, v{machine.version}"
    )
    context["history"] = history(machine_record(machine, own))
    return render(request, "projects/point.html", context)
