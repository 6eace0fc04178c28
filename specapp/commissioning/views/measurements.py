"""Records of measurements: an item chosen, values written down, the verdict with its reason."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from specapp.bench.measuring.baseline import BASELINE
from specapp.bench.measuring.probes import CURVE
from specapp.bench.measuring.records import Kind, Subject
from specapp.bench.measuring.registry import KINDS
from specapp.commissioning.access import measurement_or_404
from specapp.commissioning.errors import Refused
from specapp.commissioning.measuring_forms import MeasurementForm, typed
from specapp.commissioning.models import Condition, Measurement
from specapp.commissioning.presenting.links import items_of_record
from specapp.commissioning.presenting.measurements import change_of, curve_scene, data_lines
from specapp.commissioning.printing import measured_sheets
from specapp.commissioning.services.measurements import (
    baseline_adopt,
    judgement_of,
    machine_subject,
    measurement_write,
    moves_alarm,
)
from specapp.core.downloads import attachment
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in, whole_number
from specapp.documents.registry import PDF
from specapp.domain.problems import InputErrors
from specapp.drawings.svg import svg_text
from specapp.kernel.errors import KernelError
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.errors import StaleVersion
from specapp.projects.models import Machine
from specapp.projects.views.documents import document_options
from specapp.projects.views.unreadable import shows_problems


def _kind_or_404(key: str) -> Kind:
    kind = KINDS.get(key)
    if kind is None:
        raise Http404
    return kind


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def measurement_new(request: HttpRequest, project_id: int, machine_id: int, kind: str) -> HttpResponse:
    """Without an item: the items of the kind, to choose from; with one: what is written down of it."""
    right = Right.EDIT_MACHINE
    access, machine = machine_or_404(request, project_id, machine_id, right)
    machine.project = access.project
    wanted = _kind_or_404(kind)
    corrects = _corrects(request, machine, wanted)
    key = corrects.item if corrects else request.GET.get("item", "")
    if not key and request.method != "POST":
        return _choose_page(request, access, machine, wanted)
    subject = machine_subject(machine, wanted, key)
    if subject is None:
        return _choose_page(request, access, machine, wanted, status=422)
    if request.method != "POST":
        form = MeasurementForm(kind=wanted, subject=subject, initial=_initial(wanted, subject, corrects))
        return _form_page(request, access, machine, wanted, subject, form, corrects)
    form = MeasurementForm(request.POST, request.FILES, kind=wanted, subject=subject)
    if not form.is_valid():
        return _form_page(request, access, machine, wanted, subject, form, corrects, status=422)
    told = form.cleaned_data
    try:
        row = measurement_write(
            machine=machine,
            kind=wanted,
            subject=subject,
            data=form.record(),
            condition=told["condition"],
            train=told.get("train", ""),
            measured_on=told["measured_on"],
            instrument=told["instrument"],
            remark=told["remark"],
            corrects=corrects,
            author=request.user,
            now=timezone.now(),
        )
    except KernelError as error:
        form.add_error(error.name if error.name in form.fields else None, str(error))
    except Refused as refused:
        form.add_error(None, refused.text)
    else:
        word = "passes" if judgement_of(row).passes else "fails"
        messages.success(request, f"Written down: it {word}.")
        return redirect("commissioning:measurement-show", project_id, machine_id, row.pk)
    return _form_page(request, access, machine, wanted, subject, form, corrects, status=422)


def _corrects(request: HttpRequest, machine: Machine, kind: Kind) -> Measurement | None:
    text = request.GET.get("corrects", "")
    if not text:
        return None
    rows = Measurement.objects.filter(machine=machine, kind=kind.key)
    row = rows.filter(pk=whole_number(text, digits=15)).first()
    if row is None:
        raise Http404
    return row


def _initial(kind: Kind, subject: Subject, corrects: Measurement | None) -> dict[str, Any]:
    if corrects is None:
        return {"condition": Condition.AS_FOUND, "measured_on": timezone.localdate()}
    return {
        **typed(tuple(kind.fields(subject)), corrects.data),
        "condition": corrects.condition,
        "train": corrects.train,
        "measured_on": corrects.measured_on,
        "instrument": corrects.instrument,
    }


def _context(access: Access, machine: Machine, kind: Kind) -> dict[str, Any]:
    return {"access": access, "project": access.project, "machine": machine, "kind": kind}


def _choose_page(
    request: HttpRequest, access: Access, machine: Machine, kind: Kind, status: int = 200
) -> HttpResponse:
    proposal = machine_proposal(machine)
    tags = {point.key: point.tag for point in proposal.points}
    for point in proposal.points:
        tags.setdefault(point.voting_group, point.tag)
    done = set(
        Measurement.objects.filter(machine=machine, kind=kind.key, corrected_by=None).values_list(
            "item", flat=True
        )
    )
    items = [(key, tags.get(key, ""), key in done) for key in kind.keys(proposal)]
    context = _context(access, machine, kind) | {"items": items, "unknown": status == 422}
    return render(request, "commissioning/measurement_choose.html", context, status=status)


def _form_page(
    request: HttpRequest,
    access: Access,
    machine: Machine,
    kind: Kind,
    subject: Subject,
    form: MeasurementForm,
    corrects: Measurement | None,
    status: int = 200,
) -> HttpResponse:
    context = _context(access, machine, kind) | {"subject": subject, "form": form, "corrects": corrects}
    return render(request, "commissioning/measurement_new.html", context, status=status)


@require_safe
@shows_problems
def measurement_show(
    request: HttpRequest, project_id: int, machine_id: int, measurement_id: int
) -> HttpResponse:
    access, row = measurement_or_404(request, project_id, machine_id, measurement_id, Right.READ_DRAFT)
    return _show_page(request, access, row)


def _show_page(
    request: HttpRequest, access: Access, row: Measurement, problem: str = "", status: int = 200
) -> HttpResponse:
    kind = KINDS[row.kind]
    subject = machine_subject(row.machine, kind, row.item)
    change = change_of(row)
    picture = ""
    if kind is CURVE:
        # The painter escapes every text that it sets.
        picture = mark_safe(svg_text(curve_scene(row, change.before if change else None)))  # noqa: S308
    judged = judgement_of(row)
    context = _context(access, row.machine, kind) | {
        "row": row,
        "judged": judged,
        "lines": data_lines(kind.fields(subject), row.data) if subject else sorted(row.data.items()),
        "readings": row.data.get("readings", []),
        "change": change,
        "picture": picture,
        "corrected_by": Measurement.objects.filter(corrects=row).first(),
        "may_adopt": kind is BASELINE and subject is not None and judged.passes and moves_alarm(judged),
        "problem": problem,
        "tested": items_of_record(row),
    }
    return render(request, "commissioning/measurement.html", context, status=status)


@require_POST
@shows_problems
def measurement_adopt(
    request: HttpRequest, project_id: int, machine_id: int, measurement_id: int
) -> HttpResponse:
    """The alarm that a baseline gives, set as an override."""
    access, row = measurement_or_404(request, project_id, machine_id, measurement_id, Right.EDIT_MACHINE)
    subject = machine_subject(row.machine, KINDS[row.kind], row.item)
    if subject is None:
        return _show_page(request, access, row, "The machine has this item no more.", 409)
    try:
        baseline_adopt(
            row=row,
            subject=subject,
            expected_version=version_in(request.POST),
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        return _show_page(request, access, row, refused.text, 422)
    except StaleVersion:
        problem = "The machine was changed since this page was opened: look at the value again."
        return _show_page(request, access, row, problem, 409)
    except InputErrors as errors:
        return _show_page(request, access, row, "; ".join(each.line() for each in errors.problems), 422)
    messages.success(request, f"Set: alarm of {row.item}. It stands among the overrides.")
    return redirect("projects:override-list", project_id, machine_id)


@require_safe
@shows_problems
def measurement_file(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Every record that stands as PDF, the curves with their pictures."""
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    machine.project = access.project
    content = measured_sheets(machine, machine_proposal(machine), document_options(access.project, request))
    name = f"{safe_name(machine.tag)}_commissioning_records.pdf"
    return attachment(content, PDF, name)
