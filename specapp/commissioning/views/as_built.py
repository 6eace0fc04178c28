"""The as-built setpoint schedule: page, files, and a setpoint written down as it was left."""

from collections.abc import Sequence

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.commissioning.as_built_forms import LeftForm
from specapp.commissioning.errors import Refused, Stale
from specapp.commissioning.presenting.as_built import printed_rows
from specapp.commissioning.quantities import symbol_of
from specapp.commissioning.services.as_built import (
    AsBuiltLine,
    Left,
    as_built_lines,
    difference_explain,
    every_line,
    left_write,
    line_of,
    specified_of,
)
from specapp.commissioning.services.trains import trains_of
from specapp.core.downloads import attachment
from specapp.core.form_problems import add_problems
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.documents import as_built
from specapp.documents.csv_files import csv_bytes
from specapp.documents.registry import CSV, PDF, XLSX
from specapp.domain.problems import InputErrors
from specapp.projects.access import Access, machine_or_404
from specapp.projects.errors import StaleVersion
from specapp.projects.models import Machine
from specapp.projects.views.documents import document_options
from specapp.projects.views.unreadable import shows_problems

_FIELDS = {"item": "value", "level": "value"}


@require_safe
@shows_problems
def as_built_show(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    specified = specified_of(machine)
    trains = trains_of(specified.proposal)
    train = _train(trains, request.GET.get("train", ""))
    lines = as_built_lines(machine, specified, train)
    rows = list(zip(lines, printed_rows(lines), strict=True))
    states = [line.state for line in lines]
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "basis": specified.basis,
        "trains": trains,
        "train": train,
        "rows": rows,
        "counts": [
            (state, states.count(state)) for state in ("as specified", "explained", "open", "not entered")
        ],
    }
    return render(request, "commissioning/as_built.html", context)


@require_safe
@shows_problems
def as_built_file(request: HttpRequest, project_id: int, machine_id: int, suffix: str) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    specified = specified_of(machine)
    rows = printed_rows(every_line(machine, specified))
    options = document_options(access.project, request)
    if suffix == "pdf":
        content, media = as_built.render(specified.proposal, rows, options), PDF
    elif suffix == "xlsx":
        content, media = as_built.workbook(specified.proposal, rows, options), XLSX
    elif suffix == "csv":
        content, media = csv_bytes(as_built.schedule(rows)), CSV
    else:
        raise Http404
    name = f"{safe_name(machine.tag)}_as_built_setpoints.{suffix}"
    return attachment(content, media, name)


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def left_enter(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """One setpoint that the address names: as left, and why where it differs."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    specified = specified_of(machine)
    trains = trains_of(specified.proposal)
    asked = request.POST.get("train", "") if request.method == "POST" else request.GET.get("train", "")
    # What is no train is the form's to refuse.
    train = asked if asked in trains else _train(trains, "")
    line = line_of(machine, request.GET.get("item", ""), request.GET.get("level", ""), train, specified)
    if line is None:
        raise Http404
    form = _form(line, trains, request)
    if request.method != "POST":
        return _page(request, access, machine, line, form)
    if not form.is_valid():
        return _page(request, access, machine, line, form, status=422)
    try:
        _write(request, machine, line, form.told())
    except InputErrors as errors:
        add_problems(form, errors.problems, _FIELDS)
        return _page(request, access, machine, line, form, status=422)
    except StaleVersion as stale:
        moved = f"{stale.machine.updated_by} changed this machine"
        return _moved_page(request, access, stale.machine, line, moved)
    except Stale:
        return _moved_page(request, access, machine, line, "another value was written down as left")
    except Refused as refused:
        form.add_error("reason", refused.text)
        return _page(request, access, machine, line, form, status=422)
    messages.success(request, f"Written down: {line.level} of {line.tags}.")
    query = {"train": line.train} if line.train else None
    return redirect(reverse("commissioning:as-built-show", args=[project_id, machine_id], query=query))


def _write(request: HttpRequest, machine: Machine, line: AsBuiltLine, told: Left) -> None:
    """Write a value as left, or without one the reason for the value that stands."""
    write = left_write if told.value.strip() or line.left is None else difference_explain
    write(
        machine=machine,
        line=line,
        told=told,
        expected_version=version_in(request.POST),
        author=request.user,
        now=timezone.now(),
    )


def _moved_page(
    request: HttpRequest, access: Access, machine: Machine, line: AsBuiltLine, moved: str
) -> HttpResponse:
    """Show what stands now beside what was typed; saved again, that is over the values shown."""
    specified = specified_of(machine)
    stands = line_of(machine, line.item, line.level, line.train, specified)
    if stands is None:
        raise Http404
    typed = request.POST.copy()
    typed["seen"] = _seen(stands)
    form = _form(stands, trains_of(specified.proposal), request, typed)
    return _page(request, access, machine, stands, form, 409, moved)


def _train(trains: Sequence[str], asked: str) -> str:
    """Return the train asked for, the first of several where none is; empty for a single machine."""
    if asked and asked not in trains:
        raise Http404
    return asked or (trains[0] if trains else "")


def _seen(line: AsBuiltLine) -> str:
    return str(line.left.pk) if line.left else ""


def _form(
    line: AsBuiltLine, trains: Sequence[str], request: HttpRequest, typed: QueryDict | None = None
) -> LeftForm:
    is_axial = line.points[0].quantity == "axial_position"
    initial = {
        "train": line.train,
        "seen": _seen(line),
        "person": request.user.get_full_name(),
        "dated": timezone.localdate(),
    }
    data = typed or (request.POST if request.method == "POST" else None)
    unit = symbol_of(line.specified.unit)
    return LeftForm(data, unit=unit, is_axial=is_axial, trains=trains, initial=initial)


def _page(
    request: HttpRequest,
    access: Access,
    machine: Machine,
    line: AsBuiltLine,
    form: LeftForm,
    status: int = 200,
    moved: str = "",
) -> HttpResponse:
    (row,) = printed_rows([line])
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "line": line,
        "row": row,
        "form": form,
        "moved": moved,
    }
    return render(request, "commissioning/left.html", context, status=status)
