"""Files of offers: entered as received, late ones decided about, opened ones fetched."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.bids.access import bidder_or_404, enquiry_or_404, envelope_or_404
from specapp.bids.errors import Refused
from specapp.bids.forms import FileForm, LateForm
from specapp.bids.models import Bidder, Envelope
from specapp.bids.services.receiving import envelope_receive, late_decide
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE
from specapp.bids.views.enquiries import show
from specapp.core.downloads import UNREAD, attachment
from specapp.core.form_problems import add_problems
from specapp.core.models import User
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors


@require_POST
def file_receive(request: HttpRequest, project_id: int, enquiry_id: int, bidder_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    bidder = bidder_or_404(enquiry, bidder_id)
    form = FileForm(request.POST, request.FILES, prefix="file")
    status, problem = UNPROCESSABLE, ""
    if form.is_valid():
        try:
            envelope = received(form, bidder, request.user, on_behalf=True)
        except InputErrors as errors:
            add_problems(form, errors.problems)
        except Refused as refused:
            status, problem = CONFLICT, refused.text
        else:
            late = " It is late and stays sealed until somebody decides." if envelope.is_late else ""
            messages.success(request, f"Received sealed: {envelope.size} bytes, {envelope.sha256}.{late}")
            return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)
    return show(request, access, enquiry, status, problem, file_form=form, file_for=bidder.pk)


def received(form: FileForm, bidder: Bidder, author: User, *, on_behalf: bool) -> Envelope:
    """Keep the file of a form that is filled in rightly. Raises as `envelope_receive`."""
    told = form.cleaned_data
    return envelope_receive(
        bidder=bidder,
        label=told["label"],
        part=told["part"],
        name=told["file"].name,
        data=told["file"].read(),
        on_behalf=on_behalf,
        author=author,
        now=timezone.now(),
    )


@require_POST
def file_late(request: HttpRequest, project_id: int, enquiry_id: int, envelope_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    envelope = envelope_or_404(enquiry, envelope_id)
    form = LateForm(request.POST, prefix="late")
    if not form.is_valid():
        return show(request, access, enquiry, UNPROCESSABLE, late_form=form)
    try:
        late_decide(
            envelope=envelope,
            accepted=form.cleaned_data["accepted"] == "yes",
            reason=form.cleaned_data["reason"],
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        return show(request, access, enquiry, CONFLICT, refused.text, late_form=form)
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)


@require_safe
def file_show(request: HttpRequest, project_id: int, enquiry_id: int, envelope_id: int) -> HttpResponse:
    """An opened file as a download; a sealed one is not found."""
    _, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    envelope = envelope_or_404(enquiry, envelope_id, opened=True)
    return attachment(bytes(envelope.content), UNREAD, envelope.name)
