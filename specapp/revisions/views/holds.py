"""The hold list of a machine, beside what is not settled."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.projects.views.unreadable import shows_problems
from specapp.revisions.errors import Refused
from specapp.revisions.forms import HoldForm, ReleaseForm
from specapp.revisions.gate import KINDS, GateItem, gate_items, hold_index
from specapp.revisions.models import HoldItem
from specapp.revisions.presenting.listed import holds_schedule
from specapp.revisions.services.holds import hold_put, hold_release, holds_in_force

_MOST_RELEASED = 100


@require_safe
@shows_problems
def hold_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    return _page(request, access, machine, HoldForm())


def _page(
    request: HttpRequest,
    access: Access,
    machine: Machine,
    form: HoldForm,
    *,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    items = gate_items(machine_proposal(machine))
    holds = holds_in_force(machine)
    by_key = hold_index(holds)
    keys = {(item.kind, item.key) for item in items}
    free = [item for item in items if (item.kind, item.key) not in by_key]
    today = timezone.localdate()
    # A hold whose reason has gone is settled and only waits to be released.
    lines = [(hold, (hold.kind, hold.key) not in keys, hold.due_date < today) for hold in holds]
    if file := list_file(request, machine.tag, {"on_hold": holds_schedule(lines)}):
        return file
    context: dict[str, Any] = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "free": [(title, [item for item in free if item.kind == kind]) for kind, title in KINDS.items()],
        "free_count": len(free),
        "holds": lines,
        "released": HoldItem.objects.filter(machine=machine, released_at__isnull=False).select_related(
            "released_by"
        )[:_MOST_RELEASED],
        "ticked": request.POST.getlist("item"),
        "form": form,
        "problem": problem,
    }
    return render(request, "revisions/holds.html", context, status=status)


@require_POST
@shows_problems
def hold_add(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Put what is ticked on the hold list, all under one owner and date."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    form = HoldForm(request.POST)
    chosen = _chosen(machine, request.POST.getlist("item"))
    if not form.is_valid() or not chosen:
        problem = "" if chosen else "Tick what goes on the hold list."
        return _page(request, access, machine, form, problem=problem, status=422)
    try:
        for item in chosen:
            hold_put(machine=machine, item=item, author=request.user, now=timezone.now(), **form.cleaned_data)
    except Refused as refused:
        return _page(request, access, machine, form, problem=refused.text, status=409)
    messages.success(request, f"{len(chosen)} on hold.")
    return redirect("revisions:hold-list", project_id, machine_id)


def _chosen(machine: Machine, ticked: list[str]) -> list[GateItem]:
    wanted = set(ticked)
    return [item for item in gate_items(machine_proposal(machine)) if f"{item.kind}|{item.key}" in wanted]


@require_POST
@shows_problems
def hold_release_now(request: HttpRequest, project_id: int, machine_id: int, hold_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    hold = HoldItem.objects.select_related("machine").filter(machine=machine, pk=hold_id).first()
    if hold is None:
        raise Http404
    form = ReleaseForm(request.POST)
    if not form.is_valid():
        problem = "; ".join(form.errors["reason"])
        return _page(
            request, access, machine, HoldForm(), problem=f"Why is it released? {problem}", status=422
        )
    try:
        hold_release(hold=hold, reason=form.cleaned_data["reason"], author=request.user, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.text)
    else:
        messages.success(request, "Released.")
    return redirect("revisions:hold-list", project_id, machine_id)
