"""Enquiries of a project: list, new, one enquiry's life, its terms, its issue."""

from typing import Any

from django.contrib import messages
from django.db.models import Count, Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from specapp.bids.access import enquiry_or_404
from specapp.bids.errors import Refused, Stale
from specapp.bids.forms import BidderForm, EnquiryForm, FileForm, IssueForm, LateForm, TermsForm
from specapp.bids.models import Enquiry, Envelope, Stage
from specapp.bids.services.enquiring import (
    bidder_invite,
    enquiry_create,
    enquiry_issue,
    is_closed,
    terms_change,
)
from specapp.bids.sheets import asked_of, closing_text, group_weights
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.projects.access import Access, project_or_404

_MOST = 200


@require_safe
def enquiry_list(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_BIDS)
    rows = (
        Enquiry.objects.filter(project=access.project)
        .select_related("issue")
        .annotate(asked=Count("bidders", distinct=True))[:_MOST]
    )
    return page(request, access, None, "enquiries", enquiries=rows)


@require_http_methods(["GET", "HEAD", "POST"])
def enquiry_new(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.ENQUIRE)
    form = EnquiryForm(request.POST or None, project=access.project)
    issues = form.fields["issue"].queryset.exists()
    if request.method != "POST":
        return page(request, access, None, "enquiry_new", form=form, issues=issues)
    if form.is_valid():
        try:
            enquiry = enquiry_create(
                issue=form.cleaned_data["issue"],
                reference=form.cleaned_data["reference"],
                title=form.cleaned_data["title"],
                terms=form.terms(),
                author=request.user,
                now=timezone.now(),
            )
        except Refused as refused:
            form.add_error("reference", refused.text)
        else:
            return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)
    return page(request, access, None, "enquiry_new", UNPROCESSABLE, form=form, issues=issues)


@require_safe
def enquiry_show(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    return show(request, access, enquiry)


def show(
    request: HttpRequest, access: Access, enquiry: Enquiry, status: int = 200, problem: str = "", **forms: Any
) -> HttpResponse:
    """Return an enquiry's page, with a form of it that was filled in wrongly."""
    now = timezone.now()
    files = Envelope.objects.defer("content").order_by("part", "version")
    bidders = enquiry.bidders.prefetch_related(
        Prefetch("offers__envelopes", queryset=files), "acknowledgements", "declinings"
    ).annotate(questions=Count("clarifications", distinct=True))
    last = enquiry.amendments.last()
    context = {
        "bidders": bidders,
        "amendments": enquiry.amendments.select_related("issued_by"),
        "done": _done(enquiry),
        "asked": enquiry.requirements.filter(is_left_out=False).count(),
        "changed": enquiry.requirements.exclude(changed_at=None).count(),
        "closing": closing_text(enquiry.closes_at, access.project.time_zone),
        "closed": bool(last and now >= last.closes_at),
        "frozen": is_closed(enquiry, now),
        "ready": enquiry.closes_at is not None and enquiry.closes_at > now,
        "bidder_form": BidderForm(prefix="bidder"),
        "issue_form": IssueForm(prefix="issue"),
        "file_form": FileForm(prefix="file"),
        "late_form": LateForm(prefix="late"),
        "problem": problem,
        "takes_files": enquiry.stage in (Stage.ISSUED, Stage.OPENED) and last is not None,
        **forms,
    }
    return page(request, access, enquiry, "enquiry", status, **context)


def _done(enquiry: Enquiry) -> list[dict[str, Any]]:
    """Return what was opened and signed, in the order in which it was."""
    openings = enquiry.openings.prefetch_related("people")
    signatures = enquiry.signatures.select_related("offer__bidder")
    rows = [{"at": each.opened_at or each.begun_at, "opening": each} for each in openings]
    rows += [{"at": each.at, "signature": each} for each in signatures]
    return sorted(rows, key=lambda row: row["at"])


@require_http_methods(["GET", "HEAD", "POST"])
def terms_edit(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    weights = group_weights(asked_of(enquiry), enquiry.terms)
    form = TermsForm(request.POST or None, enquiry=enquiry, groups=weights)
    if request.method != "POST":
        return page(request, access, enquiry, "terms", form=form)
    if not form.is_valid():
        return page(request, access, enquiry, "terms", UNPROCESSABLE, form=form)
    try:
        terms_change(
            enquiry=enquiry,
            version=version_in(request.POST),
            terms={"settings": form.cleaned_data["settings"]},
            fields=form.fields_changed(),
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        return page(request, access, enquiry, "terms", CONFLICT, form=form, problem=refused.text)
    messages.success(request, "Saved. It goes out with the next issue of the enquiry.")
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)


@require_POST
def bidder_add(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    form = BidderForm(request.POST, prefix="bidder")
    if not form.is_valid():
        return show(request, access, enquiry, UNPROCESSABLE, bidder_form=form)
    try:
        bidder = bidder_invite(enquiry=enquiry, author=request.user, now=timezone.now(), **form.cleaned_data)
    except Refused as refused:
        return show(request, access, enquiry, CONFLICT, refused.text, bidder_form=form)
    messages.success(request, f"{bidder.name} is asked.")
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)


@require_POST
def enquiry_send(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    form = IssueForm(request.POST, prefix="issue")
    if not form.is_valid():
        return show(request, access, enquiry, UNPROCESSABLE, issue_form=form)
    try:
        amendment = enquiry_issue(
            enquiry=enquiry,
            version=version_in(request.POST),
            note=form.cleaned_data["note"],
            author=request.user,
            now=timezone.now(),
        )
    except Stale as stale:
        return show(request, access, enquiry, CONFLICT, stale.text, issue_form=form)
    except Refused as refused:
        return show(request, access, enquiry, UNPROCESSABLE, refused.text, issue_form=form)
    messages.success(request, f"Issued: {amendment}.")
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)
