"""Overrides of a machine: set with a reason, confirmed when their ground has moved, undone."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from specapp.core import display as display_choice
from specapp.core.htmx import varies, wants_fragment
from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.domain.overrides import ALLOWED, MOST_REASON, reason_problems
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_ground, proposal_and_overrides
from specapp.projects.deciding.items import SWITCHES, Item, alike, can_be_set, item_of, settable, typed_value
from specapp.projects.deciding.overrides import (
    applied_of,
    found_in,
    override_confirm,
    override_set,
    override_undo,
    override_wanted,
)
from specapp.projects.deciding.selectors import override_history
from specapp.projects.errors import OverrideGone, StaleVersion
from specapp.projects.models import Machine, Override
from specapp.projects.presenting.changes import what_if
from specapp.projects.presenting.decisions import override_lines, set_text
from specapp.projects.presenting.header import machine_context
from specapp.projects.presenting.override_tables import history_table, override_table
from specapp.projects.views.unreadable import shows_problems
from specapp.projects.worked import Ground, proposal_for


@require_safe
@shows_problems
def override_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal, rows = proposal_and_overrides(machine)
    context = machine_context(access, machine, proposal, display_choice.switch(request))
    lines = override_lines(proposal, rows, context["display"])
    history = [
        (row, set_text(item_of(proposal, row.item, row.field), row.value, context["display"]))
        for row in override_history(machine)
    ]
    table, undone = override_table("Overrides", lines, access, machine), history_table(history)
    lists = {"overrides": table.schedule, "undone_overrides": undone.schedule}
    if file := list_file(request, machine.tag, lists):
        return file
    context |= {"lines": lines, "override_table": table, "history": history, "history_table": undone}
    return render(request, "projects/overrides.html", context)


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def override_edit(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """One value of one item, named by the address; a key to be typed where a point is added."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    field = request.GET.get("field", "")
    if field not in ALLOWED:
        raise Http404
    kept = take(request) if request.method != "POST" else None
    typed = request.POST or kept or request.GET
    key = (request.GET.get("item") or typed.get("item", "")).strip()
    ground = machine_ground(machine)
    proposal = proposal_for(machine.description, ground)
    item = item_of(proposal, key, field)
    is_there = can_be_set(item) or applied_of(proposal, key, field) is not None
    if request.method != "POST" and not is_there:
        return _nothing_there(request, access, machine, proposal, item)
    if request.method == "POST" and typed.get("do") == "show":
        return _shown_changes(request, access, machine, ground, item, typed)
    problems: list[Problem] = []
    status = 200
    if request.method == "POST":
        try:
            override_set(
                machine=machine,
                expected_version=version_in(typed),
                item=key,
                field=field,
                value=_value_with_reason(item, typed),
                reason=typed.get("reason", ""),
                author=request.user,
                now=timezone.now(),
            )
        except InputErrors as errors:
            if not is_there:
                return _nothing_there(request, access, machine, proposal, item)
            problems, status = list(errors.problems), 422
        except StaleVersion as stale:
            status, machine = 409, stale.machine
            ground = machine_ground(machine)
            proposal = proposal_for(machine.description, ground)
            item = item_of(proposal, key, field)
        else:
            messages.success(request, _done(field, key))
            return redirect(_point_or_list(access, machine, item))
    context = machine_context(access, machine, proposal, display_choice.AS_SET)
    context |= _form_context(machine, ground, proposal, item, typed)
    context |= {"problems": problems, "stale": status == 409, "came_back": bool(kept)}
    return render(request, "projects/override_edit.html", context, status=status)


def _nothing_there(
    request: HttpRequest, access: Access, machine: Machine, proposal: Proposal, item: Item
) -> HttpResponse:
    """Say what was asked for and is not in the proposal, and what may be done instead."""
    context = machine_context(access, machine, proposal, display_choice.AS_SET) | {
        "item": item,
        "asked": shown(item.key) if item.key else "",
        "struck": applied_of(proposal, item.key, "struck"),
        "others": settable(item.points[0]) if item.points else (),
        "alike": [] if item.points else alike(proposal, item.key, item.field),
    }
    return render(request, "projects/override_nothing.html", context, status=404)


def _done(field: str, key: str) -> str:
    if field == "struck":
        return f"Struck: {key}. It stays among the overrides and comes back when that is undone."
    if field == "added":
        return f"Added: {key}, although the rules do not propose it."
    return f"Set: {field} of {key}. The rule's own value stays beside it."


def _value(item: Item, typed: Any) -> Any:
    return True if item.field in SWITCHES else typed_value(item, typed.get("value", ""))


def _value_with_reason(item: Item, typed: Any) -> Any:
    """Return the value; where it cannot be read, what is wrong with the reason is told with it."""
    try:
        return _value(item, typed)
    except InputErrors as errors:
        raise InputErrors([*errors.problems, *reason_problems(typed.get("reason", "").strip())]) from None


def _shown_changes(
    request: HttpRequest, access: Access, machine: Machine, ground: Ground, item: Item, typed: Any
) -> HttpResponse:
    """Show what the override would change, beside the form or as that part alone; nothing is set."""
    proposal = proposal_for(machine.description, ground)
    context: dict[str, Any] = {"project": access.project}
    try:
        wanted = override_wanted(
            item=item.key,
            field=item.field,
            value=_value(item, typed),
            reason=typed.get("reason") or "to be given",
            author=request.user,
            now=timezone.now(),
        )
        after = proposal_for(machine.description, ground.with_override(wanted))
        context["changes"] = what_if(proposal, found_in(after, wanted), None)
    except InputErrors as errors:
        context["cannot"] = errors.problems
    if wants_fragment(request):
        return varies(render(request, "projects/override_edit.html#changes", context))
    context |= machine_context(access, machine, proposal, display_choice.AS_SET)
    context |= _form_context(machine, ground, proposal, item, typed)
    return varies(render(request, "projects/override_edit.html", context))


def _form_context(
    machine: Machine, ground: Ground, proposal: Proposal, item: Item, typed: Any
) -> dict[str, Any]:
    without = ground.without_override(item.key, item.field)
    rule_item = item_of(proposal_for(machine.description, without), item.key, item.field)
    return {
        "item": item,
        "stands": applied_of(proposal, item.key, item.field),
        "key_is_typed": item.field == "added" and not item.points,
        "now_text": set_text(item, item.value),
        "rule_text": set_text(rule_item, rule_item.value),
        "choices": item.choices,
        "typed_value": typed.get("value", ""),
        "reason": typed.get("reason", ""),
        "most_reason": MOST_REASON,
        "version": machine.version,
        "back": item.points[0].key if item.points else "",
    }


def _point_or_list(access: Access, machine: Machine, item: Item) -> str:
    place = [access.project.pk, machine.pk]
    if item.field in SWITCHES or not item.points:
        return reverse("projects:override-list", args=place)
    return reverse("projects:point-show", args=[*place, item.points[0].key])


@require_POST
def override_answer(
    request: HttpRequest, project_id: int, machine_id: int, override_id: int, answer: str
) -> HttpResponse:
    """Confirm an override whose ground has moved, or undo one."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    row = Override.objects.select_related("machine", "author").filter(machine=machine, pk=override_id).first()
    if row is None:
        raise Http404
    act = {"confirm": override_confirm, "undo": override_undo}[answer]
    try:
        act(
            override=row,
            expected_version=version_in(request.POST),
            author=request.user,
            now=timezone.now(),
        )
    except StaleVersion as stale:
        messages.error(
            request,
            f"Nothing was done: {stale.machine.updated_by} changed this machine meanwhile. "
            "Look at the list below and answer again.",
        )
    except OverrideGone as gone:
        messages.error(
            request, f"Nothing was done: {gone.override} is undone already, or its item is no longer there."
        )
    except InputErrors:
        messages.error(request, "Nothing was done: the description cannot be read under the present rules.")
    else:
        done = "Confirmed" if answer == "confirm" else "Undone; the rule's value stands"
        messages.success(request, f"{done}: {row}.")
    return redirect("projects:override-list", access.project.pk, machine.pk)
