"""What an enquiry asks beside its requirements, before it goes out: clauses, items, spares, documents."""

from typing import Any

import msgspec
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.bids.access import enquiry_or_404
from specapp.bids.editing_forms import AddForm, ClauseForm, DocumentsForm, ItemsForm
from specapp.bids.errors import Refused
from specapp.bids.models import Enquiry
from specapp.bids.services.editing import contents_change, requirement_add
from specapp.bids.services.enquiring import is_closed
from specapp.bids.sheets import sheet_of
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.domain.problems import InputErrors
from specapp.evaluation.clauses import clauses_of, general_clauses
from specapp.evaluation.enquiry import EnquirySheet
from specapp.projects.access import Access


def _sheet(enquiry: Enquiry) -> EnquirySheet:
    """Return the enquiry as it stands, changes that wait for an amendment included."""
    return sheet_of(enquiry, 0, timezone.localdate().isoformat())


def _general(enquiry: Enquiry) -> list[tuple[str, str, str]]:
    """Return number, present words and first words of the clauses that no requirement makes."""
    made = dict(clauses_of(_unchanged(enquiry)))
    changed = enquiry.terms.get("clauses") or {}
    last = len(general_clauses())
    return [
        (number, changed.get(number, text), text)
        for number, text in made.items()
        if int(number.partition(".")[0]) <= last
    ]


def _unchanged(enquiry: Enquiry) -> EnquirySheet:
    return msgspec.structs.replace(_sheet(enquiry), clauses=())


@require_safe
def clause_list(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    context = {"clauses": _general(enquiry), "frozen": is_closed(enquiry, timezone.now())}
    return page(request, access, enquiry, "clauses", **context)


@require_http_methods(["GET", "HEAD", "POST"])
def clause_edit(request: HttpRequest, project_id: int, enquiry_id: int, number: str) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    found = next((each for each in _general(enquiry) if each[0] == number and "." in number), None)
    if found is None:
        raise Http404
    _, text, made = found
    form = ClauseForm(request.POST or None, initial={"text": text})
    context = {"form": form, "number": number, "made": made, "is_changed": text != made}
    context |= {"frozen": is_closed(enquiry, timezone.now())}
    if request.method != "POST" or not form.is_valid():
        return page(request, access, enquiry, "clause", _status(request), **context)
    said = " ".join(form.cleaned_data["text"].split())
    clauses = {key: value for key, value in (enquiry.terms.get("clauses") or {}).items() if key != number}
    if said != made:
        clauses[number] = said
    done = _changed(request, enquiry, {"clauses": clauses}, form)
    return done or _again(request, access, enquiry, "clause", context)


@require_http_methods(["GET", "HEAD", "POST"])
def documents_edit(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    form = DocumentsForm(request.POST or None, documents=_sheet(enquiry).documents)
    context = {"form": form, "frozen": is_closed(enquiry, timezone.now())}
    if request.method != "POST" or not form.is_valid():
        return page(request, access, enquiry, "documents", _status(request), **context)
    done = _changed(request, enquiry, {"documents": form.changed()}, form)
    return done or _again(request, access, enquiry, "documents", context)


@require_http_methods(["GET", "HEAD", "POST"])
def items_edit(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    sheet = _sheet(enquiry)
    form = ItemsForm(request.POST or None, items=sheet.items, bill=sheet.asked.bill)
    context = {"form": form, "frozen": is_closed(enquiry, timezone.now())}
    if request.method != "POST" or not form.is_valid():
        return page(request, access, enquiry, "items", _status(request), **context)
    done = _changed(request, enquiry, form.changed(), form)
    return done or _again(request, access, enquiry, "items", context)


def _status(request: HttpRequest) -> int:
    return UNPROCESSABLE if request.method == "POST" else 200


def _changed(
    request: HttpRequest, enquiry: Enquiry, changed: dict[str, Any], form: Any
) -> HttpResponse | None:
    """Return where to go when it is done; None leaves what was refused in the form."""
    try:
        contents_change(
            enquiry=enquiry,
            version=version_in(request.POST),
            changed=changed,
            reason=form.cleaned_data["reason"],
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        form.add_error(None, refused.text)
        return None
    messages.success(request, "Saved. It goes out with the next issue of the enquiry.")
    return redirect(request.path if "clauses/" not in request.path else "../")


def _again(
    request: HttpRequest, access: Access, enquiry: Enquiry, template: str, context: dict[str, Any]
) -> HttpResponse:
    return page(request, access, enquiry, template, CONFLICT, **context)


@require_http_methods(["GET", "HEAD", "POST"])
def requirement_new(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    form = AddForm(request.POST or None)
    context = {"form": form, "frozen": is_closed(enquiry, timezone.now())}
    if request.method != "POST" or not form.is_valid():
        return page(request, access, enquiry, "requirement_new", _status(request), **context)
    try:
        added = requirement_add(
            enquiry=enquiry,
            version=version_in(request.POST),
            told=form.cleaned_data,
            criterion=form.criterion(),
            reason=form.cleaned_data["reason"],
            author=request.user,
            now=timezone.now(),
        )
    except InputErrors as errors:
        for each in errors.problems:
            form.add_error(None, each.found)
        return page(request, access, enquiry, "requirement_new", UNPROCESSABLE, **context)
    except Refused as refused:
        form.add_error(None, refused.text)
        return page(request, access, enquiry, "requirement_new", CONFLICT, **context)
    messages.success(request, f"{added.key} is added.")
    return redirect("bids:requirement-list", access.project.pk, enquiry.pk)
