"""Values given for setpoints: looked at beside the rule's, written down, read from a list, withdrawn."""

from typing import Any

from django.contrib import messages
from django.core import signing
from django.forms import Form
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from specapp.core import display as display_choice
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.documents.csv_files import csv_bytes
from specapp.documents.schedules import Schedule
from specapp.domain.machine_workbook import LARGEST_BYTES
from specapp.domain.problems import InputErrors, Problem
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.items import LEVELS, Item, item_of
from specapp.projects.deciding.selectors import setpoint_values, values_given
from specapp.projects.deciding.setpoint_list import ListedValue, SetpointList, read_setpoint_list
from specapp.projects.deciding.setpoint_values import (
    GivenValue,
    given_value,
    latest_key,
    setpoint_value_withdraw,
    setpoint_values_write,
)
from specapp.projects.deciding.setpoint_values import setpoint_value_write as value_write
from specapp.projects.errors import SetpointValueMoved, StaleVersion
from specapp.projects.models import Machine, SetpointState, SetpointValue
from specapp.projects.presenting.decisions import decisions_of, set_text
from specapp.projects.presenting.header import machine_context
from specapp.projects.presenting.setpoint_values import (
    groups_of,
    left_over,
    listed_lines,
    setpoint_lines,
    setpoint_table,
    standing_lines,
    written_table,
)
from specapp.projects.setpoint_forms import ListForm, ValueForm
from specapp.projects.views.unreadable import shows_problems

_SALT = "setpoint-list"
_ONE_DAY_S = 24 * 3600


@require_safe
@shows_problems
def setpoint_value_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal = machine_proposal(machine)
    values = setpoint_values(machine)
    context = machine_context(access, machine, proposal, display_choice.switch(request))
    lines = setpoint_lines(proposal, decisions_of(proposal, values), context["display"])
    only_given = request.GET.get("show") == "given"
    shown = [line for line in lines if line.given] if only_given else lines
    table = setpoint_table(shown, access, machine)
    written = written_table(reversed(values), access, machine)
    lists = {"setpoint_values": table.schedule, "written_down": written.schedule}
    if file := list_file(request, machine.tag, lists):
        return file
    context |= {
        "lines": shown,
        "setpoint_table": table,
        "written_table": written,
        "only_given": only_given,
        "left_over": left_over(proposal, values),
        "values": values,
    }
    return render(request, "projects/setpoint_values.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def setpoint_value_write(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """One value of the setpoint that the address names."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    proposal = machine_proposal(machine)
    key, level = request.GET.get("item", ""), request.GET.get("level", "")
    if level not in LEVELS or not (item := item_of(proposal, key, level)).kind:
        raise Http404
    values = values_given(machine, key, level)
    form = _value_form(item, values, request.POST or None)
    status, is_gone, moved = 200, False, ""
    if request.method == "POST":
        status = 422
        if form.is_valid():
            told = form.cleaned_data
            try:
                given = given_value(proposal, key, level, told["value"], told.get("low", ""))
                value_write(value=given, seen=told["seen"], **_how(request, machine, form))
            except InputErrors as errors:
                _add_problems(form, errors)
            except (StaleVersion, SetpointValueMoved) as stale:
                status = 409
                moved = "the values given for this setpoint changed"
                if isinstance(stale, StaleVersion):
                    machine = stale.machine
                    moved = f"{machine.updated_by} changed this machine"
                    proposal = machine_proposal(machine)
                    stands = item_of(proposal, key, level)
                    is_gone = not stands.kind
                    item = item if is_gone else stands
                values = values_given(machine, key, level)
                form = _value_form(item, values, request.POST, is_anew=True)
            else:
                messages.success(request, f"Written down: {level} of {key}.")
                return redirect("projects:setpoint-value-list", access.project.pk, machine.pk)
    context = machine_context(access, machine, proposal, display_choice.AS_SET)
    context |= {
        "item": item,
        "proposed": set_text(item, item.value),
        "given": standing_lines(item, values),
        "form": form,
        "moved": moved,
        "is_gone": is_gone,
    }
    return render(request, "projects/setpoint_value.html", context, status=status)


def _value_form(
    item: Item, values: list[SetpointValue], typed: QueryDict | None, *, is_anew: bool = False
) -> ValueForm:
    """Return the form of one value; anew, what was typed is to be saved over the values shown now."""
    seen = latest_key(values) or ""
    if typed is not None and is_anew:
        typed = typed.copy()
        typed["seen"] = str(seen)
    return ValueForm(typed, initial={"seen": seen}, unit=item.symbol, is_axial=item.is_axial)


def _how(request: HttpRequest, machine: Machine, form: Any) -> dict[str, Any]:
    """Return what one value and a list of them are written down with."""
    return {
        "machine": machine,
        "expected_version": version_in(request.POST),
        "provenance": form.provenance(),
        "author": request.user,
        "now": timezone.now(),
    }


def _add_problems(form: Form, errors: InputErrors) -> None:
    for problem in errors.problems:
        field = problem.path if problem.path in form.fields else None
        message = f" {problem.message[0].upper()}{problem.message[1:]}." if problem.message else ""
        where = "" if field else f"{problem.path}: "
        form.add_error(field, f"{where}Found {problem.found}; allowed: {problem.allowed}.{message}")


@require_POST
def setpoint_value_withdrawn(
    request: HttpRequest, project_id: int, machine_id: int, value_id: int
) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    row = SetpointValue.objects.select_related("machine").filter(machine=machine, pk=value_id).first()
    if row is None:
        raise Http404
    setpoint_value_withdraw(value=row, author=request.user, now=timezone.now())
    messages.success(request, f"Withdrawn: {row}. It stays in the record.")
    return redirect("projects:setpoint-value-list", access.project.pk, machine.pk)


@require_safe
@shows_problems
def setpoint_list_blank(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """A list of this machine's setpoints for a maker to fill in."""
    _, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    proposal = machine_proposal(machine)
    rows = []
    for item, points in groups_of(proposal).items():
        unit = item_of(proposal, item, "alarm").unit
        if unit:
            rows.append((points[0].tag, points[0].title, unit, None, None, None, None))
    headings = ("tag", "description", "unit", "alarm", "alarm low", "trip", "trip low")
    response = HttpResponse(csv_bytes(Schedule("setpoints", headings, rows)), content_type="text/csv")
    response.headers["Content-Disposition"] = 'attachment; filename="setpoint_list.csv"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def setpoint_list_import(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """A maker's list: read, shown with was and is, and written down only when that is confirmed."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    proposal = machine_proposal(machine)
    if request.method != "POST":
        return _import_page(request, access, machine, proposal, ListForm())
    form = ListForm(request.POST, request.FILES)
    if not form.is_valid():
        return _import_page(request, access, machine, proposal, form, status=422)
    if "read" in request.POST:
        return _adopted(request, access, machine, proposal, form)
    file = form.cleaned_data["file"]
    if file is None:
        form.add_error("file", "Found nothing; allowed: a workbook (.xlsx) or a CSV file.")
        return _import_page(request, access, machine, proposal, form, status=422)
    try:
        listed = read_setpoint_list(file.read(LARGEST_BYTES + 1), proposal)
    except InputErrors as errors:
        _add_problems(form, errors)
        return _import_page(request, access, machine, proposal, form, status=422)
    return _import_page(request, access, machine, proposal, form, listed=listed)


def _adopted(
    request: HttpRequest, access: Access, machine: Machine, proposal: Proposal, form: ListForm
) -> HttpResponse:
    """Write down the values that were shown, as signed then."""
    listed = None
    try:
        rows = signing.loads(request.POST["read"], salt=f"{_SALT}.{machine.pk}", max_age=_ONE_DAY_S)
        values = [ListedValue(GivenValue(*row), cell, tags) for *row, cell, tags in rows]
        setpoint_values_write(values=[each.given for each in values], **_how(request, machine, form))
    except signing.BadSignature:
        form.add_error(None, "What was read from the file is older than a day: choose the file again.")
    except InputErrors as errors:
        _add_problems(form, errors)
        if groups_of(proposal).keys() >= {each.given.item for each in values}:
            listed = SetpointList(tuple(values), (), ())
    except StaleVersion as stale:
        who = stale.machine.updated_by
        form.add_error(
            None, f"{who} changed this machine meanwhile: choose the file again and look at it anew."
        )
        return _import_page(request, access, stale.machine, proposal, form, status=409)
    else:
        messages.success(request, f"{len(rows)} values written down.")
        return redirect("projects:setpoint-value-list", access.project.pk, machine.pk)
    return _import_page(request, access, machine, proposal, form, listed=listed, status=422)


def _import_page(
    request: HttpRequest,
    access: Access,
    machine: Machine,
    proposal: Proposal,
    form: ListForm,
    *,
    listed: SetpointList | None = None,
    status: int = 200,
) -> HttpResponse:
    context = machine_context(access, machine, proposal, display_choice.AS_SET)
    context["form"] = form
    if listed is not None:
        state = form.cleaned_data["state"]
        decisions = decisions_of(proposal, setpoint_values(machine))
        rows = [
            (
                *(each.given.item, each.given.level, each.given.value, each.given.low, each.given.unit),
                *(each.cell, each.tags),
            )
            for each in listed.values
        ]
        context |= {
            "listed": listed,
            "lines": listed_lines(proposal, listed.values, decisions, state),
            "problems": [_told(problem) for problem in listed.problems],
            "state_label": SetpointState(state).label,
            "read": signing.dumps(rows, salt=f"{_SALT}.{machine.pk}", compress=True),
        }
    return render(request, "projects/setpoint_list.html", context, status=status)


def _told(problem: Problem) -> tuple[str, str]:
    message = f" {problem.message[0].upper()}{problem.message[1:]}." if problem.message else ""
    return problem.path, f"found {problem.found}; allowed: {problem.allowed}.{message}"
