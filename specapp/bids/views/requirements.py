"""What an enquiry asks: the list, one requirement, and the enquiry as a bidder sees it."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.bids.access import enquiry_or_404
from specapp.bids.errors import Refused
from specapp.bids.forms import RequirementForm
from specapp.bids.models import Enquiry, Requirement
from specapp.bids.services.enquiring import is_closed, requirement_change
from specapp.bids.sheets import asked_of, group_weights, issued_sheet, requirement_of, sheet_of
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.core.downloads import attachment
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.documents.enquiry_papers import PAPERS, render
from specapp.documents.enquiry_workbook import price_form, technical_form
from specapp.documents.options import Options
from specapp.documents.registry import PDF, XLSX
from specapp.domain.problems import InputErrors
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.offer_form import price_sheets, technical_sheets
from specapp.evaluation.requirements.criterion import criterion_text
from specapp.evaluation.requirements.requirement import group_title

SHOWN = {"all": "all", "must": "knock-outs", "changed": "changed", "left": "left out"}


@require_safe
def requirement_list(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    shown = request.GET.get("show", "all")
    asked = asked_of(enquiry)
    weights = group_weights(asked, enquiry.terms)
    groups: dict[str, list[Any]] = {}
    counts = dict.fromkeys(SHOWN, 0)
    for row in enquiry.requirements.select_related("changed_by"):
        told = requirement_of(row)
        kinds = {"all"}
        kinds |= {"must"} if told.knock_out and not row.is_left_out else set()
        kinds |= {"changed"} if row.changed_at else set()
        kinds |= {"left"} if row.is_left_out else set()
        for kind in kinds:
            counts[kind] += 1
        if shown in kinds or shown not in SHOWN:
            groups.setdefault(told.group, []).append((row, told, criterion_text(told.criterion)))
    context = {
        "groups": [(group_title(key), weights.get(key), rows) for key, rows in groups.items()],
        "filters": [(key, title, counts[key]) for key, title in SHOWN.items()],
        "shown": shown if shown in SHOWN else "all",
        "open_points": asked.open_points,
        "frozen": is_closed(enquiry, timezone.now()),
    }
    return page(request, access, enquiry, "requirements", **context)


def _requirement_or_404(enquiry: Enquiry, requirement_id: int) -> Requirement:
    row = enquiry.requirements.select_related("changed_by").filter(pk=requirement_id).first()
    if row is None:
        raise Http404
    return row


@require_http_methods(["GET", "HEAD", "POST"])
def requirement_edit(
    request: HttpRequest, project_id: int, enquiry_id: int, requirement_id: int
) -> HttpResponse:
    right = Right.ENQUIRE if request.method == "POST" else Right.READ_BIDS
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, right)
    row = _requirement_or_404(enquiry, requirement_id)
    told = requirement_of(row)
    context: dict[str, Any] = {
        "row": row,
        "told": told,
        "group": group_title(told.group),
        "criterion": criterion_text(told.criterion),
        "frozen": is_closed(enquiry, timezone.now()),
    }
    if request.method != "POST":
        initial = {
            "title": told.title,
            "text": told.text,
            "weight": told.weight,
            "knock_out": told.knock_out,
            "low": told.criterion.low,
            "high": told.criterion.high,
            "choices": "\n".join(told.criterion.choices),
            "is_left_out": row.is_left_out,
        }
        form = RequirementForm(initial=initial, current=row.current)
        return page(request, access, enquiry, "requirement", form=form, **context)
    form = RequirementForm(request.POST, current=row.current)
    status, problem = UNPROCESSABLE, ""
    if form.is_valid():
        try:
            requirement_change(
                requirement=row,
                version=version_in(request.POST),
                changed=form.changed(row.current),
                reason=form.cleaned_data["reason"],
                author=request.user,
                now=timezone.now(),
            )
        except InputErrors as errors:
            for each in errors.problems:
                form.add_error(None, each.found)
        except Refused as refused:
            status, problem = CONFLICT, refused.text
        else:
            messages.success(request, f"{row.key} is changed.")
            return redirect("bids:requirement-list", access.project.pk, enquiry.pk)
    return page(request, access, enquiry, "requirement", status, form=form, problem=problem, **context)


def shown_sheet(enquiry: Enquiry) -> EnquirySheet:
    """Return the enquiry as last issued, or as it would be issued now."""
    amendment = enquiry.amendments.last()
    if amendment is not None:
        return issued_sheet(amendment)
    return sheet_of(enquiry, 0, timezone.localdate().isoformat())


@require_safe
def as_bidder(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    """What a bidder receives, cell for cell: the forms as tables, from the very records they are made of."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    sheet = shown_sheet(enquiry)
    part = request.GET.get("part", "technical")
    forms = price_sheets(sheet) if part == "price" else technical_sheets(sheet)
    context = {
        "sheet": sheet,
        "part": "price" if part == "price" else "technical",
        "forms": forms,
        "is_issued": enquiry.amendments.exists(),
        "papers": [(key, paper[0]) for key, paper in PAPERS.items()],
    }
    return page(request, access, enquiry, "as_bidder", **context)


@require_safe
def form_file(request: HttpRequest, project_id: int, enquiry_id: int, part: str) -> HttpResponse:
    _, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if part not in ("technical", "price"):
        raise Http404
    sheet = shown_sheet(enquiry)
    content = technical_form(sheet) if part == "technical" else price_form(sheet)
    name = f"{safe_name(sheet.reference)}_{part}_{sheet.amendment}.xlsx"
    return attachment(content, XLSX, name)


@require_safe
def paper_file(request: HttpRequest, project_id: int, enquiry_id: int, paper: str) -> HttpResponse:
    """One of the papers of the enquiry as PDF, as last issued or as it would go out."""
    _, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if paper not in PAPERS:
        raise Http404
    sheet = shown_sheet(enquiry)
    issued = Options(standing="issued for enquiry") if enquiry.amendments.exists() else Options()
    name = f"{safe_name(sheet.reference)}_{paper}_{sheet.amendment}.pdf"
    return attachment(render(sheet, paper, issued), PDF, name)
