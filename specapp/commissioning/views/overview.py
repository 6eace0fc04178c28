"""The start of commissioning: what stands of a machine's tests, and making a checklist."""

from typing import Any

from django.contrib import messages
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.bench.measuring.registry import KINDS
from specapp.commissioning.errors import Refused
from specapp.commissioning.forms import MakeForm
from specapp.commissioning.presenting.measurements import counted, machine_lines
from specapp.commissioning.services.checklists import checklist_make
from specapp.commissioning.services.trains import trains_of
from specapp.core.roles import Right
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.projects.views.unreadable import shows_problems
from specapp.revisions.models import Revision, State


def _form(machine: Machine, data: Any = None) -> MakeForm:
    issued = Revision.objects.filter(machine=machine, state=State.ISSUED).order_by("-issue__sequence")
    return MakeForm(data, revisions=issued, trains=trains_of(machine_proposal(machine)))


@require_safe
@shows_problems
def commissioning_show(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    return _page(request, access, machine, _form(machine))


def _page(
    request: HttpRequest, access: Access, machine: Machine, form: MakeForm, status: int = 200
) -> HttpResponse:
    rows = machine.checklists.select_related("made_by").prefetch_related("signatures")
    filled = rows.annotate(done=Count("entries__item_key", distinct=True))
    lines = machine_lines(machine)
    standing, fails = counted(lines)
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "checklists": [(row, row.done, len(row.items)) for row in filled],
        "form": form,
        "kinds": [(kind, [line for line in lines if line.row.kind == kind.key]) for kind in KINDS.values()],
        "record_count": standing,
        "fail_count": fails,
    }
    return render(request, "commissioning/overview.html", context, status=status)


@require_POST
@shows_problems
def checklist_new(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    machine.project = access.project
    form = _form(machine, request.POST)
    if not form.is_valid():
        return _page(request, access, machine, form, status=422)
    try:
        row = checklist_make(machine=machine, author=request.user, now=timezone.now(), **form.cleaned_data)
    except Refused as refused:
        form.add_error(None, refused.text)
        return _page(request, access, machine, form, status=422)
    messages.success(request, f"Made: {len(row.items)} items.")
    return redirect("commissioning:checklist-show", project_id, machine_id, row.pk)
