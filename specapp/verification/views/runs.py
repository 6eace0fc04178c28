"""Runs of the signal bench: what was tried so far, a new one with progress, one of them, its report."""

import json
from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.bench.running import bench_steps, run_bench
from specapp.core.downloads import attachment
from specapp.core.list_files import list_file, safe_name
from specapp.core.models import User
from specapp.core.roles import Right
from specapp.documents.registry import PDF
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.projects.views.unreadable import shows_problems
from specapp.revisions.content import bytes_of, content_of
from specapp.revisions.models import Revision
from specapp.verification.forms import WORKING, RunForm, StateForm
from specapp.verification.presenting import (
    counted,
    delays_table,
    failures,
    matrix,
    runs_schedule,
    settings_table,
)
from specapp.verification.selectors import (
    checksum_now,
    is_of_now,
    kept_run,
    run_or_404,
    runs_of,
    tried_revisions,
)
from specapp.verification.services import bench_run_keep

_LINES = "application/x-ndjson"


@require_safe
@shows_problems
def run_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    machine.project = access.project
    return _list_page(request, access, machine)


def _list_page(
    request: HttpRequest, access: Access, machine: Machine, form: RunForm | None = None, status: int = 200
) -> HttpResponse:
    told = request.POST if request.method == "POST" else request.GET
    revision, proposal, state = _state(told, machine)
    now = checksum_now(machine)
    runs = [(row, counted(row), is_of_now(row, now)) for row in runs_of(machine)]
    if file := list_file(request, machine.tag, {"bench_runs": runs_schedule(runs)}):
        return file
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "runs": runs,
        "state_form": state,
        "of": str(revision.pk) if revision else WORKING,
        "form": form or RunForm(proposal=proposal),
    }
    return render(request, "verification/runs.html", context, status=status)


def _state(told: Any, machine: Machine) -> tuple[Revision | None, Proposal, StateForm]:
    """Return the state that is asked for, the working one where none is that there is, and its proposal."""
    revisions = tried_revisions(machine)
    asked = told.get("of") or WORKING
    form = StateForm({"of": asked}, revisions=revisions, version=machine.version)
    chosen = next((row for row in revisions if str(row.pk) == asked), None)
    if chosen is None:
        return None, machine_proposal(machine), form
    return chosen, content_of(chosen.checksum).proposal, form


@require_POST
@shows_problems
def run_new(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponseBase:
    """Try and keep. Asked for lines it tells how far it is, and is given up when the reader goes away."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    machine.project = access.project
    revision, proposal, state = _state(request.POST, machine)
    form = RunForm(request.POST, proposal=proposal)
    if not form.is_valid() or not state.is_valid():
        return _list_page(request, access, machine, form, status=422)
    told = form.cleaned_data
    asked = {
        "seed": told["seed"],
        "told": told["told"],
        "functions": told["functions"] or None,
        "scenarios": told["scenarios"] or None,
    }
    assert isinstance(request.user, User)
    if request.headers.get("Accept") == _LINES:
        lines = _run_lines(machine, revision, proposal, asked, request.user)
        response = StreamingHttpResponse(lines, content_type=_LINES)
        response.headers["X-Accel-Buffering"] = "no"
        return response
    result = run_bench(proposal, **asked)
    run = bench_run_keep(
        machine=machine,
        revision=revision,
        proposal=proposal,
        result=result,
        told=told["told"],
        author=request.user,
        now=timezone.now(),
    )
    messages.success(request, f"Bench run {run.number} is kept.")
    return redirect("verification:run-show", project_id, machine_id, run.number)


def _run_lines(
    machine: Machine, revision: Revision | None, proposal: Proposal, asked: dict[str, Any], author: User
) -> Iterator[str]:
    """Yield {"done", "total"} after each pair, and at the end {"address"}. Closed early, nothing is kept."""
    steps = bench_steps(proposal, **asked)
    while True:
        try:
            done, total = next(steps)
        except StopIteration as finished:
            run = bench_run_keep(
                machine=machine,
                revision=revision,
                proposal=proposal,
                result=finished.value,
                told=asked["told"],
                author=author,
                now=timezone.now(),
            )
            place = [machine.project_id, machine.pk, run.number]
            yield json.dumps({"address": reverse("verification:run-show", args=place)}) + "\n"
            return
        yield json.dumps({"done": done, "total": total}) + "\n"


@require_safe
def run_show(request: HttpRequest, project_id: int, machine_id: int, number: int) -> HttpResponse:
    access, machine, row = run_or_404(request, project_id, machine_id, number)
    kept = kept_run(row)
    tables = {
        "functions_by_scenarios": matrix(row, kept.result),
        "settings": settings_table(kept.result),
    }
    if kept.result.delays:
        tables["delays"] = delays_table(kept.result)
    lists = {key: table.schedule for key, table in tables.items()}
    if file := list_file(request, f"{machine.tag} run {row.number}", lists):
        return file
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "run": row,
        "result": kept.result,
        "counted": counted(row),
        "is_of_now": is_of_now(row, checksum_now(machine)),
        "failures": list(failures(row, kept.result, override_url(access, machine))),
        "matrix": tables["functions_by_scenarios"],
        "delays": tables.get("delays"),
        "settings": tables["settings"],
    }
    return render(request, "verification/run.html", context)


def override_url(access: Access, machine: Machine) -> str:
    """Return where a value is set, empty for those who may not."""
    if not access.may_edit_machines:
        return ""
    return reverse("projects:override-edit", args=[access.project.pk, machine.pk])


@require_safe
def run_report(request: HttpRequest, project_id: int, machine_id: int, number: int) -> HttpResponse:
    """Return the report as it was printed when the run was made, byte for byte."""
    _, machine, row = run_or_404(request, project_id, machine_id, number)
    name = f"{safe_name(machine.tag) or 'machine'}_bench_run_{row.number}.pdf"
    return attachment(bytes_of(row.report_id), PDF, name)
