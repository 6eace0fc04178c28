"""What is done with a password: opening a part of the offers, signing a step."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from specapp.bids.access import enquiry_or_404
from specapp.bids.comparing import compared
from specapp.bids.errors import Refused
from specapp.bids.forms import PasswordForm
from specapp.bids.models import Opening, Part, Stage
from specapp.bids.services.evaluating import stage_sign
from specapp.bids.services.opening import cannot_open, opening_confirm
from specapp.bids.views.common import UNPROCESSABLE, page
from specapp.core.roles import Right

_SIGNED = {Stage.DECIDED: Right.EVALUATE, Stage.RECOMMENDED: Right.AWARD, Stage.AWARDED: Right.AWARD}


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def offers_open(request: HttpRequest, project_id: int, enquiry_id: int, part: str) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.OPEN_OFFERS)
    part = part.upper()
    if part not in Part.values:
        raise Http404
    now = timezone.now()
    context = {
        "part": Part(part),
        "hinders": cannot_open(enquiry, part, request.user, now),
        "opening": Opening.objects.filter(enquiry=enquiry, part=part).prefetch_related("people").first(),
    }
    form = PasswordForm(request.POST or None)
    if request.method != "POST":
        return page(request, access, enquiry, "open", form=form, **context)
    if not form.is_valid():
        return page(request, access, enquiry, "open", UNPROCESSABLE, form=form, **context)
    try:
        opening = opening_confirm(
            enquiry=enquiry,
            part=part,
            person=request.user,
            password=form.cleaned_data["password"],
            now=now,
        )
    except Refused as refused:
        return page(
            request,
            access,
            enquiry,
            "open",
            UNPROCESSABLE,
            form=PasswordForm(),
            problem=refused.text,
            **context,
        )
    told = (
        "Opened."
        if opening.opened_at
        else "Your part is recorded. A second person opens with a password too."
    )
    messages.success(request, told)
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def enquiry_sign(request: HttpRequest, project_id: int, enquiry_id: int, stage: str) -> HttpResponse:
    """Sign a step: the technical decisions, the recommendation, the award."""
    stage = stage.upper()
    if stage not in _SIGNED:
        raise Http404
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, _SIGNED[Stage(stage)])
    offers = compared(enquiry).offers if enquiry.amendments.exists() else []
    context = {
        "stage": Stage(stage),
        "offers": offers,
        "needs_offer": stage != Stage.DECIDED,
    }
    form = PasswordForm(request.POST or None)
    if request.method != "POST":
        return page(request, access, enquiry, "sign", form=form, **context)
    if not form.is_valid():
        return page(request, access, enquiry, "sign", UNPROCESSABLE, form=form, **context)
    told = request.POST.get("offer")
    chosen = next((each.offer for each in offers if str(each.offer.pk) == told), None)
    try:
        stage_sign(
            enquiry=enquiry,
            stage=stage,
            offer=chosen,
            text=request.POST.get("text", "")[:2000],
            person=request.user,
            password=form.cleaned_data["password"],
            now=timezone.now(),
        )
    except Refused as refused:
        return page(
            request,
            access,
            enquiry,
            "sign",
            UNPROCESSABLE,
            form=PasswordForm(),
            problem=refused.text,
            **context,
        )
    messages.success(request, f"Signed: {Stage(stage).label}.")
    return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)
