"""Offers: files received, openings, one offer held against the enquiry, one reply."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from specapp.bids.access import bidder_or_404, enquiry_or_404, envelope_or_404, offer_or_404
from specapp.bids.errors import Refused
from specapp.bids.forms import DecisionForm, FileForm, LateForm, PasswordForm, QuestionForm, TranscribeForm
from specapp.bids.judging import JudgedOffer, judged, latest_envelope, opened_offers, sheet_in_force
from specapp.bids.models import Enquiry, Offer, Opening, Part, Stage
from specapp.bids.services.evaluating import (
    clarification_ask,
    decision_put,
    form_read,
    reply_transcribe,
    stage_sign,
)
from specapp.bids.services.opening import cannot_open, opening_confirm
from specapp.bids.services.receiving import envelope_receive, late_decide
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.bids.views.enquiries import show
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors
from specapp.evaluation.requirements.criterion import criterion_text
from specapp.evaluation.requirements.requirement import group_title
from specapp.projects.access import Access
from specapp.references.views.problems import add_problems

SHOWN = ("all", "differs", "clarify", "contradicts", "must", "decided")
_FILTERS = {
    "all": "all",
    "differs": "not complying",
    "clarify": "to be clarified",
    "contradicts": "contradictions",
    "must": "knock-outs not met",
    "decided": "decided",
}
_SIGNED = {Stage.DECIDED: Right.EVALUATE, Stage.RECOMMENDED: Right.AWARD, Stage.AWARDED: Right.AWARD}


@require_POST
def file_receive(request: HttpRequest, project_id: int, enquiry_id: int, bidder_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.ENQUIRE)
    bidder = bidder_or_404(enquiry, bidder_id)
    form = FileForm(request.POST, request.FILES, prefix="file")
    status, problem = UNPROCESSABLE, ""
    if form.is_valid():
        told = form.cleaned_data
        try:
            envelope = envelope_receive(
                bidder=bidder,
                label=told["label"],
                part=told["part"],
                name=told["file"].name,
                data=told["file"].read(),
                on_behalf=True,
                author=request.user,
                now=timezone.now(),
            )
        except InputErrors as errors:
            add_problems(form, errors.problems)
        except Refused as refused:
            status, problem = CONFLICT, refused.text
        else:
            late = " It is late and stays sealed until somebody decides." if envelope.is_late else ""
            messages.success(request, f"Received sealed: {envelope.size} bytes, {envelope.sha256}.{late}")
            return redirect("bids:enquiry-show", access.project.pk, enquiry.pk)
    return show(request, access, enquiry, status, problem, file_form=form, file_for=bidder.pk)


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
    response = HttpResponse(bytes(envelope.content), content_type="application/octet-stream")
    response.headers["Content-Disposition"] = f'attachment; filename="{envelope.name}"'
    return response


@require_POST
def file_read(request: HttpRequest, project_id: int, enquiry_id: int, envelope_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.EVALUATE)
    envelope = envelope_or_404(enquiry, envelope_id, opened=True)
    try:
        form_read(envelope=envelope, author=request.user, now=timezone.now())
    except InputErrors as errors:
        return _offer_page(request, access, enquiry, envelope.offer, UNPROCESSABLE, problems=errors.problems)
    except Refused as refused:
        return _offer_page(request, access, enquiry, envelope.offer, CONFLICT, problem=refused.text)
    messages.success(request, "The form was read as a whole.")
    return redirect("bids:offer-show", access.project.pk, enquiry.pk, envelope.offer_id)


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


@require_safe
def offer_show(request: HttpRequest, project_id: int, enquiry_id: int, offer_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    return _offer_page(request, access, enquiry, offer_or_404(enquiry, offer_id))


def _opened_or_403(enquiry: Enquiry, offer: Offer) -> None:
    if offer not in opened_offers(enquiry):
        raise PermissionDenied("This offer is sealed until its technical part is opened.")


def _offer_page(
    request: HttpRequest, access: Access, enquiry: Enquiry, offer: Offer, status: int = 200, **context: Any
) -> HttpResponse:
    _opened_or_403(enquiry, offer)
    sheet = sheet_in_force(enquiry)
    found = judged(enquiry, offer, sheet)
    shown = request.GET.get("show", "all")
    shown = shown if shown in SHOWN else "all"
    decided = {row.requirement for row in offer.decisions.all() if row.agreed}
    missed = {each.id for each in found.knocked_out}
    replies = {each.requirement: each for each in found.technical.replies}
    counts = dict.fromkeys(SHOWN, 0)
    groups: dict[str, list[Any]] = {}
    for requirement, judgement in zip(sheet.asked.requirements, found.check.judgements, strict=True):
        standing = found.standings[requirement.id]
        kinds = {"all"}
        kinds |= {"differs"} if standing not in ("comply", "with comment") else set()
        kinds |= {"clarify"} if judgement.question else set()
        kinds |= {"contradicts"} if judgement.contradictions else set()
        kinds |= {"must"} if requirement.id in missed else set()
        kinds |= {"decided"} if requirement.id in decided else set()
        for kind in kinds:
            counts[kind] += 1
        if shown in kinds:
            row = (
                requirement,
                criterion_text(requirement.criterion),
                replies.get(requirement.id),
                judgement,
                standing,
            )
            groups.setdefault(requirement.group, []).append((*row, requirement.id in decided))
    technical = latest_envelope(offer, Part.TECHNICAL)
    context = {
        "offer": offer,
        "found": found,
        "groups": [(group_title(key), found.factors.get(key), rows) for key, rows in groups.items()],
        "filters": [(key, title, counts[key]) for key, title in _FILTERS.items()],
        "shown": shown,
        "technical": technical,
        "files": offer.envelopes.filter(opened_at__isnull=False).defer("content"),
        "bill": [each for each in found.check.bill if each.difference != "as asked"],
        "bill_count": len(found.check.bill),
        **context,
    }
    return page(request, access, enquiry, "offer", status, **context)


@require_http_methods(["GET", "HEAD", "POST"])
def reply_show(
    request: HttpRequest, project_id: int, enquiry_id: int, offer_id: int, key: str
) -> HttpResponse:
    """One reply: what was asked, offered and found; entered on behalf, decided, asked back."""
    right = Right.EVALUATE if request.method == "POST" else Right.READ_BIDS
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, right)
    offer = offer_or_404(enquiry, offer_id)
    _opened_or_403(enquiry, offer)
    found = judged(enquiry, offer)
    place = next((at for at, each in enumerate(found.check.judgements) if each.requirement == key), None)
    if place is None:
        raise Http404
    judgement = found.check.judgements[place]
    requirement = sheet_in_force(enquiry).asked.requirements[place]
    entered = offer.transcriptions.filter(requirement=key).select_related("entered_by").first()
    forms: dict[str, Any] = {
        "transcribe": TranscribeForm(
            prefix="transcribe",
            initial={name: getattr(entered, name) for name in TranscribeForm.base_fields}
            if entered
            else None,
        ),
        "decide": DecisionForm(prefix="decide", initial={"standing": found.standings[key], "agreed": True}),
        "ask": QuestionForm(prefix="ask", initial={"question": judgement.question}),
    }
    status, problem = 200, ""
    if request.method == "POST":
        done, status, problem = _reply_posted(request, enquiry, offer, key, forms)
        if done:
            messages.success(request, done)
            return redirect("bids:reply-show", access.project.pk, enquiry.pk, offer.pk, key)
    decisions = offer.decisions.filter(requirement=key).select_related("person")
    if enquiry.blind_evaluation and enquiry.stage == Stage.OPENED:
        own = decisions.filter(agreed=False, person=request.user).exists()
        decisions = decisions if own else decisions.filter(person=request.user)
    context = {
        "offer": offer,
        "requirement": requirement,
        "criterion": criterion_text(requirement.criterion),
        "group": group_title(requirement.group),
        "judgement": judgement,
        "standing": found.standings[key],
        "reply": _own(found, key),
        "entered": entered,
        "decisions": decisions,
        "questions": offer.bidder.clarifications.filter(requirement=key),
        "problem": problem,
        **{f"{name}_form": form for name, form in forms.items()},
    }
    return page(request, access, enquiry, "reply", status, **context)


def _own(found: JudgedOffer, key: str) -> Any:
    return next((each for each in found.technical.replies if each.requirement == key), None)


def _reply_posted(
    request: HttpRequest, enquiry: Enquiry, offer: Offer, key: str, forms: dict[str, Any]
) -> tuple[str, int, str]:
    """Return what was done, or status and problem; a form filled in wrongly is put into `forms`."""
    do = request.POST.get("do", "")
    makers = {"transcribe": TranscribeForm, "decide": DecisionForm, "ask": QuestionForm}
    if do not in makers:
        return "", UNPROCESSABLE, "Choose what to do."
    form = forms[do] = makers[do](request.POST, prefix=do)
    if not form.is_valid():
        return "", UNPROCESSABLE, ""
    told, now = form.cleaned_data, timezone.now()
    try:
        if do == "transcribe":
            reply_transcribe(offer=offer, requirement=key, told=told, author=request.user, now=now)
            return "Entered on the bidder's behalf.", 200, ""
        if do == "decide":
            decision_put(offer=offer, requirement=key, author=request.user, now=now, **told)
            return "Decided.", 200, ""
        bidders = list(enquiry.bidders.all()) if told["to_all"] else [offer.bidder]
        clarification_ask(
            bidders=bidders, requirement=key, question=told["question"], author=request.user, now=now
        )
    except Refused as refused:
        return "", CONFLICT, refused.text
    return "Asked.", 200, ""


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def enquiry_sign(request: HttpRequest, project_id: int, enquiry_id: int, stage: str) -> HttpResponse:
    """Sign a step: the technical decisions, the recommendation, the award."""
    stage = stage.upper()
    if stage not in _SIGNED:
        raise Http404
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, _SIGNED[Stage(stage)])
    offers = opened_offers(enquiry) if enquiry.amendments.exists() else []
    context = {
        "stage": Stage(stage),
        "offers": [judged(enquiry, each) for each in offers],
        "needs_offer": stage != Stage.DECIDED,
    }
    form = PasswordForm(request.POST or None)
    if request.method != "POST":
        return page(request, access, enquiry, "sign", form=form, **context)
    if not form.is_valid():
        return page(request, access, enquiry, "sign", UNPROCESSABLE, form=form, **context)
    chosen = next((each for each in offers if str(each.pk) == request.POST.get("offer")), None)
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
