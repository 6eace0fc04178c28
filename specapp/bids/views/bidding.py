"""A bidder's own pages: what was issued to it, its own files and the questions put to it. Nothing else.

No page here is given an enquiry's row, another bidder, or anything that the purchaser has written for
itself: the templates get values, and refusals are in words that are the same whatever has been done inside.
"""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.bids.access import bidding_or_404, biddings_listed
from specapp.bids.bidding_forms import DeclineForm, OwnAnswerForm, OwnFileForm
from specapp.bids.errors import Refused
from specapp.bids.models import Amendment, Bidder, Envelope, Part, Stage
from specapp.bids.services.bidding import (
    ANSWERED_UNTIL,
    amendment_acknowledge,
    decline_take_back,
    enquiry_decline,
    may_decline,
)
from specapp.bids.services.evaluating import clarification_answer
from specapp.bids.services.receiving import takes_files
from specapp.bids.sheets import closing_text, issued_sheet
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE
from specapp.bids.views.files import received
from specapp.core.downloads import attachment
from specapp.core.form_problems import add_problems
from specapp.core.list_files import safe_name
from specapp.documents.enquiry_papers import PAPERS
from specapp.documents.enquiry_papers import render as render_paper
from specapp.documents.options import Options
from specapp.documents.registry import PDF, XLSX
from specapp.domain.problems import InputErrors
from specapp.revisions.content import bytes_of

NOT_TAKEN = "Such a file is not taken any more for this enquiry."
HAS_DECLINED = "You have declined: take that back before you send a file."
NOT_ANSWERED = "This question has its answer, or answers are not taken any more."


@require_safe
def bidding_list(request: HttpRequest) -> HttpResponse:
    """Every enquiry that the person's organisation was asked; empty for people who act for none."""
    rows = [
        {
            "code": bidder.code,
            "reference": bidder.enquiry.reference,
            "title": bidder.enquiry.title,
            "project": str(bidder.enquiry.project),
            "closes": closing_text(bidder.closes_at, bidder.enquiry.project.time_zone),
            "has_declined": bidder.declined is not None,
            "is_cancelled": bidder.enquiry.stage == Stage.CANCELLED,
        }
        for bidder in biddings_listed(request.user)
    ]
    return render(request, "bids/bidding/list.html", {"rows": rows})


@require_safe
def bidding_show(request: HttpRequest, code: str) -> HttpResponse:
    return _page(request, bidding_or_404(request, code))


def _last(bidder: Bidder) -> Amendment:
    return bidder.enquiry.amendments.latest("number")


def _page(
    request: HttpRequest, bidder: Bidder, status: int = 200, problem: str = "", **forms: Any
) -> HttpResponse:
    now = timezone.now()
    enquiry, last = bidder.enquiry, _last(bidder)
    sheet = issued_sheet(last)
    declined = _declined(bidder)
    context = {
        "code": bidder.code,
        "organisation": bidder.name,
        "reference": sheet.reference,
        "title": sheet.title,
        "project": sheet.project,
        "machines": sheet.asked.machines,
        "is_invented": enquiry.project.is_invented,
        "closes": closing_text(last.closes_at, enquiry.project.time_zone),
        "has_closed": now >= last.closes_at,
        "is_cancelled": enquiry.stage == Stage.CANCELLED,
        "amendments": list(_amendments(bidder)),
        "last": last.number,
        "papers": [(key, paper[0]) for key, paper in PAPERS.items()],
        "files": list(_files(bidder)),
        "declined": declined,
        "may_decline": may_decline(bidder, now),
        "decline_form": DeclineForm(prefix="decline"),
        "takes": [] if declined else [part for part in Part.values if takes_files(enquiry, part)],
        "questions": bidder.clarifications.order_by("number"),
        "takes_answers": enquiry.stage in ANSWERED_UNTIL,
        "file_form": OwnFileForm(prefix="file"),
        "answer_form": OwnAnswerForm(prefix="answer"),
        "problem": problem,
        "has_letter": enquiry.stage == Stage.AWARDED,
        **forms,
    }
    return render(request, "bids/bidding/show.html", context, status=status)


def _declined(bidder: Bidder) -> dict[str, Any] | None:
    row = bidder.declined
    return row and {"at": row.at, "by": row.by_name, "reason": row.reason}


def _amendments(bidder: Bidder) -> Iterator[dict[str, Any]]:
    seen = dict(bidder.acknowledgements.values_list("amendment", "at"))
    for row in bidder.enquiry.amendments.order_by("-number"):
        yield {
            "number": row.number,
            "name": str(row),
            "note": row.note,
            "issued_at": row.issued_at,
            "acknowledged_at": seen.get(row.pk),
        }


def _files(bidder: Bidder) -> Iterator[dict[str, Any]]:
    # A closing time that is moved leaves the forms as they are; forms filled in before stay good.
    forms = {row.pk: issued_sheet(row).amendment for row in bidder.enquiry.amendments.order_by("number")}
    in_force = max(forms.values())
    rows = Envelope.objects.filter(offer__bidder=bidder).select_related("offer")
    for row in rows.defer("content").order_by("offer", "part", "-version"):
        yield {
            "label": row.offer.label,
            "part": row.get_part_display(),
            "version": row.version,
            "name": row.name,
            "received_at": row.received_at,
            "size": row.size,
            "sha256": row.sha256,
            "is_late": row.is_late,
            "by_purchaser": row.on_behalf,
            "is_old": forms[row.amendment_id] != in_force,
        }


def _amendment_or_404(bidder: Bidder, number: int) -> Amendment:
    row = bidder.enquiry.amendments.filter(number=number).first()
    if row is None:
        raise Http404
    return row


@require_safe
def bidding_form(request: HttpRequest, code: str, number: int, part: str) -> HttpResponse:
    """A form as it was issued, byte for byte the same for whoever was asked."""
    amendment = _amendment_or_404(bidding_or_404(request, code), number)
    files = {"technical": amendment.technical_form_id, "price": amendment.price_form_id}
    if part not in files:
        raise Http404
    name = f"{safe_name(issued_sheet(amendment).reference)}_{part}_{number}.xlsx"
    return attachment(bytes_of(files[part]), XLSX, name)


@require_safe
def bidding_paper(request: HttpRequest, code: str, number: int, paper: str) -> HttpResponse:
    amendment = _amendment_or_404(bidding_or_404(request, code), number)
    if paper not in PAPERS:
        raise Http404
    sheet = issued_sheet(amendment)
    content = render_paper(sheet, paper, Options(standing="issued for enquiry"))
    return attachment(content, PDF, f"{safe_name(sheet.reference)}_{paper}_{number}.pdf")


@require_POST
def bidding_acknowledge(request: HttpRequest, code: str, number: int) -> HttpResponse:
    bidder = bidding_or_404(request, code)
    amendment = _amendment_or_404(bidder, number)
    try:
        amendment_acknowledge(amendment=amendment, bidder=bidder, author=request.user, now=timezone.now())
    except Refused as refused:
        return _page(request, bidder, CONFLICT, refused.text)
    messages.success(request, f"Acknowledged: {amendment}.")
    return redirect("bids:bidding-show", code)


@require_POST
def bidding_send(request: HttpRequest, code: str) -> HttpResponse:
    bidder = bidding_or_404(request, code)
    form = OwnFileForm(request.POST, request.FILES, prefix="file")
    status, problem = UNPROCESSABLE, ""
    if form.is_valid():
        try:
            envelope = received(form, bidder, request.user, on_behalf=False)
        except InputErrors as errors:
            add_problems(form, errors.problems)
        except Refused:
            status, problem = CONFLICT, HAS_DECLINED if bidder.declined else NOT_TAKEN
        else:
            late = " It arrived after the closing time." if envelope.is_late else ""
            messages.success(
                request,
                f"Received and sealed: {envelope.get_part_display()} version {envelope.version}, "
                f"{envelope.size} bytes, SHA-256 {envelope.sha256}.{late}",
            )
            return redirect("bids:bidding-show", code)
    return _page(request, bidder, status, problem, file_form=form)


@require_POST
def bidding_decline(request: HttpRequest, code: str) -> HttpResponse:
    """Make no offer, with a reason; the page is the receipt."""
    bidder = bidding_or_404(request, code)
    form = DeclineForm(request.POST, prefix="decline")
    if not form.is_valid():
        return _page(request, bidder, UNPROCESSABLE, decline_form=form)
    now = timezone.now()
    try:
        enquiry_decline(bidder=bidder, reason=form.cleaned_data["reason"], author=request.user, now=now)
    except Refused as refused:
        return _page(request, bidder, CONFLICT, refused.text, decline_form=form)
    messages.success(request, f"Recorded {_moment(now)}: you make no offer.")
    return redirect("bids:bidding-show", code)


@require_POST
def bidding_take_back(request: HttpRequest, code: str) -> HttpResponse:
    bidder = bidding_or_404(request, code)
    now = timezone.now()
    try:
        decline_take_back(bidder=bidder, author=request.user, now=now)
    except Refused as refused:
        return _page(request, bidder, CONFLICT, refused.text)
    messages.success(request, f"Recorded {_moment(now)}: you may make an offer after all.")
    return redirect("bids:bidding-show", code)


def _moment(at: datetime) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M:%S}"


@require_POST
def bidding_answer(request: HttpRequest, code: str, number: int) -> HttpResponse:
    bidder = bidding_or_404(request, code)
    question = bidder.clarifications.filter(number=number).first()
    if question is None:
        raise Http404
    form = OwnAnswerForm(request.POST, prefix="answer")
    if not form.is_valid():
        return _page(request, bidder, UNPROCESSABLE, answer_form=form, answer_for=number)
    try:
        if bidder.enquiry.stage not in ANSWERED_UNTIL:
            raise Refused(NOT_ANSWERED)
        clarification_answer(
            clarification=question, author=request.user, now=timezone.now(), **form.cleaned_data
        )
    except Refused:
        return _page(request, bidder, CONFLICT, NOT_ANSWERED, answer_form=form, answer_for=number)
    messages.success(request, f"Answered: clarification {number}.")
    return redirect("bids:bidding-show", code)
