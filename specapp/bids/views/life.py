"""Steps beside the straight way of an enquiry: its closing time moved, given up, who acts for a bidder."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from specapp.bids.access import bidder_or_404, enquiry_or_404
from specapp.bids.bidding_forms import AcknowledgeForm, PeopleForm
from specapp.bids.errors import Refused
from specapp.bids.life_forms import CancelForm, ExtendForm
from specapp.bids.models import Enquiry, Stage
from specapp.bids.services.bidding import (
    amendment_acknowledge,
    assignable_people,
    person_assign,
    person_withdraw,
)
from specapp.bids.services.life import NEVER_CANCELLED, closing_extend, enquiry_cancel
from specapp.bids.sheets import closing_text
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in, whole_number
from specapp.projects.access import Access


@require_http_methods(["GET", "HEAD", "POST"])
def closing_move(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    last = enquiry.amendments.last()
    closes = last and timezone.localtime(last.closes_at)
    initial = {"closes_on": closes and closes.date(), "closes_at": f"{closes:%H:%M}" if closes else "12:00"}
    form = ExtendForm(request.POST or None, initial=initial)
    movable = enquiry.stage == Stage.ISSUED and last is not None and timezone.now() < last.closes_at
    closes_text = closing_text(last and last.closes_at, access.project.time_zone)
    context = {"form": form, "closes": closes_text, "movable": movable}
    if request.method != "POST":
        return page(request, access, enquiry, "extend", **context)
    if not form.is_valid():
        return page(request, access, enquiry, "extend", UNPROCESSABLE, **context)
    try:
        amendment = closing_extend(
            enquiry=enquiry,
            version=version_in(request.POST),
            closes_at=form.moment(),
            note=form.cleaned_data["note"],
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        return page(request, access, enquiry, "extend", CONFLICT, problem=refused.text, **context)
    messages.success(request, f"Issued: {amendment}. Forms filled in before stay good.")
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def enquiry_end(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    form = CancelForm(request.POST or None)
    context = {"form": form, "may_cancel": enquiry.stage not in NEVER_CANCELLED}
    if request.method != "POST":
        return page(request, access, enquiry, "cancel", **context)
    if not form.is_valid():
        return page(request, access, enquiry, "cancel", UNPROCESSABLE, **context)
    try:
        enquiry_cancel(
            enquiry=enquiry, reason=form.cleaned_data["reason"], author=request.user, now=timezone.now()
        )
    except Refused as refused:
        return page(request, access, enquiry, "cancel", CONFLICT, problem=refused.text, **context)
    messages.success(request, "The enquiry is cancelled. Sealed files stay sealed.")
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)


@require_http_methods(["GET", "HEAD", "POST"])
def bidder_show(request: HttpRequest, project_id: int, enquiry_id: int, bidder_id: int) -> HttpResponse:
    """One organisation: who acts for it, what it has acknowledged."""
    right = Right.ENQUIRE if request.method == "POST" else Right.READ_BIDS
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, right)
    bidder = bidder_or_404(enquiry, bidder_id)
    people = assignable_people(bidder)
    form = PeopleForm(request.POST or None, people=people)
    if request.method != "POST":
        return _bidder_page(request, access, enquiry, bidder, form=form)
    try:
        if leaving := bidder.people.filter(
            pk=whole_number(request.POST.get("withdraw", ""), digits=18)
        ).first():
            person_withdraw(bidder=bidder, person=leaving, author=request.user, now=timezone.now())
            messages.success(request, f"{leaving} does not act for {bidder.name} any more.")
            return redirect("bids:bidder-show", access.project.pk, enquiry.pk, bidder.pk)
        if not form.is_valid():
            return _bidder_page(request, access, enquiry, bidder, UNPROCESSABLE, form=form)
        person = form.cleaned_data["person"]
        person_assign(bidder=bidder, person=person, author=request.user, now=timezone.now())
    except Refused as refused:
        return _bidder_page(request, access, enquiry, bidder, CONFLICT, refused.text, form=form)
    messages.success(request, f"{person} acts for {bidder.name}.")
    return redirect("bids:bidder-show", access.project.pk, enquiry.pk, bidder.pk)


def _bidder_page(
    request: HttpRequest,
    access: Access,
    enquiry: Enquiry,
    bidder: Any,
    status: int = 200,
    problem: str = "",
    **forms: Any,
) -> HttpResponse:
    seen = {row.amendment_id: row for row in bidder.acknowledgements.select_related("by")}
    context = {
        "bidder": bidder,
        "people": bidder.people.order_by("name", "pk"),
        "assignable": assignable_people(bidder).exists(),
        "issues": [(row, seen.get(row.pk)) for row in enquiry.amendments.order_by("-number")],
        "acknowledge_form": AcknowledgeForm(prefix="acknowledge"),
        "form": PeopleForm(people=assignable_people(bidder)),
        "problem": problem,
        **forms,
    }
    return page(request, access, enquiry, "bidder", status, **context)


@require_POST
def acknowledgement_enter(
    request: HttpRequest, project_id: int, enquiry_id: int, bidder_id: int, number: int
) -> HttpResponse:
    """Enter that a bidder has acknowledged an amendment another way."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    bidder = bidder_or_404(enquiry, bidder_id)
    amendment = enquiry.amendments.filter(number=number).first()
    if amendment is None:
        raise Http404
    form = AcknowledgeForm(request.POST, prefix="acknowledge")
    if not form.is_valid():
        return _bidder_page(
            request, access, enquiry, bidder, UNPROCESSABLE, acknowledge_form=form, acknowledge_for=number
        )
    try:
        amendment_acknowledge(
            amendment=amendment,
            bidder=bidder,
            author=request.user,
            now=timezone.now(),
            evidence=form.cleaned_data["evidence"],
        )
    except Refused as refused:
        return _bidder_page(request, access, enquiry, bidder, CONFLICT, refused.text)
    messages.success(request, f"Entered: {bidder.name} has acknowledged {amendment}.")
    return redirect("bids:bidder-show", access.project.pk, enquiry.pk, bidder.pk)
