"""The hazardous area, and a marking held against it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from specapp.assurance.forms import MarkingForm
from specapp.assurance.presenting.area import area_parts, marking_answer
from specapp.assurance.views.pages import page
from specapp.core import display as display_choice
from specapp.core.roles import Right
from specapp.domain.proposal import Proposal
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.presenting.header import machine_context, machine_reader
from specapp.projects.views.unreadable import shows_problems


@require_safe
@shows_problems
def area_show(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal = machine_proposal(machine)
    chosen = display_choice.switch(request)
    context = machine_context(access, machine, proposal, chosen)
    asked = "marking" in request.GET
    form = MarkingForm(request.GET if asked else None, initial=_area_of(proposal))
    answer = marking_answer(form.cleaned_data) if asked and form.is_valid() else None
    status = 422 if asked and answer is None else 200
    context |= {"form": form, "answer": answer, "asked": asked}
    reader = machine_reader(access, machine, proposal, chosen, False)
    return page(
        request,
        context,
        area_parts(proposal, reader),
        "area-show",
        template="assurance/area.html",
        status=status,
    )


def _area_of(proposal: Proposal) -> dict[str, Any]:
    """Return the area of the machine, as the form asks for one."""
    told = proposal.machine.get("hazardous_area")
    ambient = proposal.machine.get("ambient") or {}
    begins: dict[str, Any] = {"coldest": ambient.get("minimum"), "hottest": ambient.get("maximum")}
    if not isinstance(told, dict):
        return begins | {"area": "zone 2"}
    area = told.get("equipment_protection_level")
    if told.get("division"):
        area = f"Division {told['division']}"
    elif not area:
        area = f"zone {told.get('zone')}"
    return begins | {
        "area": area,
        "group": told.get("gas_group") or "",
        "gas": ", ".join(told.get("area_gases") or ()),
        "temperature_class": told.get("temperature_class") or "",
    }
