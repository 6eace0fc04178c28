"""Rules and criteria of a project: searched, with where each is used; a file of values looked at first."""

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.core import signing
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core import display as display_choice
from specapp.core.form_problems import add_problems
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.criteria.override_file import SIZE_LIMIT
from specapp.domain.problems import InputErrors
from specapp.projects.access import Access, project_or_404
from specapp.projects.deciding.criteria import criteria_import
from specapp.projects.deciding.ground import criteria_in_force, machine_proposal, still_allowed
from specapp.projects.deciding.selectors import confirmations
from specapp.projects.models import Machine, ProjectCriterion
from specapp.projects.presenting.changes import what_if
from specapp.projects.presenting.criteria import criterion_lines
from specapp.projects.presenting.header import machine_reader
from specapp.references.forms import CriteriaPreviewForm
from specapp.references.presenting.criteria import (
    ALL,
    SHOWN,
    criteria_shown,
    criteria_table,
    standing_sentence,
)
from specapp.references.presenting.rules import OUTCOMES, outcomes_of, rule_table, rules_shown
from specapp.references.uses import Counted, counted_machines, criterion_uses, rule_reads
from specapp.rulebook.registry import RULES

_SALT = "criteria-file"
_ONE_DAY_S = 24 * 3600


@require_safe
def criteria_list(request: HttpRequest, project_id: int) -> HttpResponse:
    """All criteria with source, standing, value in force and where each is used."""
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    shown, text = request.GET.get("show", ALL), request.GET.get("q", "")
    if shown not in SHOWN:
        raise Http404
    machine = _asked_machine(request, access)
    counted = counted_machines(access.project, machine.pk if machine else None)
    uses = criterion_uses(proposal for _, proposal in counted.proposals)
    stored = criteria_in_force(access.project.pk)
    own = still_allowed(stored)
    lines = criterion_lines(own, confirmations(access.project.pk))
    found = criteria_shown(lines, uses, shown, text)
    table = criteria_table(found, uses, access.project.pk)
    if file := list_file(request, access.project.file_name, {"criteria": table.schedule}):
        return file
    context = _context(access, machine, counted, shown, text) | {
        "choices": SHOWN,
        "table": table,
        "found": len(found),
        "count": len(lines),
        "own_count": len(own),
        "not_counting": [row for row in stored if row not in own],
        "standing": standing_sentence(lines, uses),
    }
    return render(request, "references/criteria.html", context)


@require_safe
def rule_list(request: HttpRequest, project_id: int) -> HttpResponse:
    """Every rule with why, source, the criteria it reads, and how it ended for a chosen machine."""
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    shown, text = request.GET.get("show", ALL), request.GET.get("q", "")
    if shown not in OUTCOMES:
        raise Http404
    machine = _asked_machine(request, access)
    counted = counted_machines(access.project, machine.pk if machine else None)
    proposal, reader, problems = None, None, []
    if machine is not None:
        try:
            proposal = machine_proposal(machine)
            reader = machine_reader(access, machine, proposal, display_choice.AS_SET, False)
        except InputErrors as errors:
            problems = [problem.line() for problem in errors.problems]
    outcomes = outcomes_of(proposal)
    if proposal is None:
        shown = ALL
    rules = rules_shown(outcomes, shown, text)
    reads = rule_reads([proposal] if proposal else [each for _, each in counted.proposals])
    table = rule_table(rules, outcomes, reads, access.project.pk, reader)
    about = machine.tag if machine else access.project.file_name
    if file := list_file(request, about, {"rules": table.schedule}):
        return file
    context = _context(access, machine, counted, shown, text) | {
        "choices": OUTCOMES if proposal else {},
        "table": table,
        "found": len(rules),
        "count": len(RULES),
        "problems": problems,
    }
    return render(request, "references/rules.html", context)


def _asked_machine(request: HttpRequest, access: Access) -> Machine | None:
    asked = request.GET.get("machine", "")
    if not asked:
        return None
    if not asked.isdecimal() or len(asked) > 18:
        raise Http404
    machine = access.project.machines.filter(pk=int(asked)).first()
    if machine is None:
        raise Http404
    return machine


def _context(
    access: Access, machine: Machine | None, counted: Counted, shown: str, text: str
) -> dict[str, Any]:
    return {
        "access": access,
        "project": access.project,
        "machine": machine,
        "machines": access.project.machines.values_list("pk", "tag"),
        "counted": counted,
        "shown": shown,
        "text": text,
    }


@require_http_methods(["GET", "HEAD", "POST"])
def criteria_bring(request: HttpRequest, project_id: int) -> HttpResponse:
    """A file of values: read, shown with was, is and what it moves; set when that is confirmed."""
    access = project_or_404(request, project_id, Right.SET_CRITERIA)
    if request.method == "POST" and "read" in request.POST:
        return _set(request, access)
    form = CriteriaPreviewForm(request.POST or None, request.FILES or None)
    context: dict[str, Any] = {"access": access, "project": access.project, "form": form}
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data["file"].read(SIZE_LIMIT + 1)
        try:
            context |= _preview(request, access, data)
        except InputErrors as errors:
            add_problems(form, errors.problems)
        else:
            return render(request, "references/criteria_file.html", context)
    status = 422 if request.method == "POST" else 200
    return render(request, "references/criteria_file.html", context, status=status)


def _preview(request: HttpRequest, access: Access, data: bytes) -> dict[str, Any]:
    """Set the values, look at what has moved, and take everything back: the same steps as in earnest."""
    project = access.project
    was = {row.key: row for row in criteria_in_force(project.pk)}
    before = counted_machines(project)
    with transaction.atomic():
        changed = criteria_import(project=project, data=data, author=request.user, now=timezone.now())
        after = counted_machines(project)
        transaction.set_rollback(True)
    return {
        "lines": _lines(changed, was),
        "moved": _moved(before, after),
        "counted": before,
        "read": signing.dumps(data.decode(), salt=f"{_SALT}.{project.pk}", compress=True),
    }


def _lines(changed: Sequence[ProjectCriterion], was: dict[str, ProjectCriterion]) -> list[dict[str, Any]]:
    lines = criterion_lines(changed, ())
    former = {line.criterion.key: line for line in criterion_lines(was.values(), ())}
    return [
        {"line": line, "was": former[line.criterion.key].own_text or line.default_text}
        for line in lines
        if line.own is not None
    ]


def _moved(before: Counted, after: Counted) -> list[tuple[str, str]]:
    """Return what the values move, machine by machine, in one line each."""
    then = {machine.pk: proposal for machine, proposal in before.proposals}
    return [
        (machine.tag, what_if(then[machine.pk], proposal, None).summary)
        for machine, proposal in after.proposals
        if machine.pk in then
    ]


def _set(request: HttpRequest, access: Access) -> HttpResponse:
    project = access.project
    form = CriteriaPreviewForm()
    try:
        text = signing.loads(request.POST["read"], salt=f"{_SALT}.{project.pk}", max_age=_ONE_DAY_S)
        changed = criteria_import(
            project=project, data=text.encode(), author=request.user, now=timezone.now()
        )
    except signing.BadSignature:
        form = CriteriaPreviewForm({})
        form.full_clean()
        form.add_error(None, "What was read from the file is older than a day: choose the file again.")
    except InputErrors as errors:
        form = CriteriaPreviewForm({})
        form.full_clean()
        add_problems(form, errors.problems)
    else:
        count = len(changed)
        messages.success(
            request, f"{count} value{'' if count == 1 else 's'} set for every machine of this project."
        )
        return redirect("references:criteria-list", project.pk)
    context = {"access": access, "project": project, "form": form}
    return render(request, "references/criteria_file.html", context, status=422)
