"""One reply: what was asked, offered and found; entered on behalf, decided, asked back."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.bids.access import enquiry_or_404, offer_or_404
from specapp.bids.errors import Refused
from specapp.bids.forms import DecisionForm, QuestionForm, TranscribeForm
from specapp.bids.judging import JudgedOffer, judged
from specapp.bids.models import Enquiry, Offer, Stage
from specapp.bids.neutral import foreign_words, question_to_all
from specapp.bids.services.evaluating import clarification_ask, decision_put, may_agree, reply_transcribe
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.bids.views.offers import opened_or_403
from specapp.core.roles import Right
from specapp.evaluation.requirements.criterion import criterion_text
from specapp.evaluation.requirements.requirement import Requirement, group_title


@require_http_methods(["GET", "HEAD", "POST"])
def reply_show(
    request: HttpRequest, project_id: int, enquiry_id: int, offer_id: int, key: str
) -> HttpResponse:
    """One reply: what was asked, offered and found; entered on behalf, decided, asked back."""
    right = Right.EVALUATE if request.method == "POST" else Right.READ_BIDS
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, right)
    offer = offer_or_404(enquiry, offer_id)
    opened_or_403(enquiry, offer)
    found = judged(enquiry, offer)
    place = next((at for at, each in enumerate(found.check.judgements) if each.requirement == key), None)
    if place is None:
        raise Http404
    judgement = found.check.judgements[place]
    requirement = found.asked.requirements[place]
    entered = offer.transcriptions.filter(requirement=key).select_related("entered_by").first()
    forms: dict[str, Any] = {
        "transcribe": TranscribeForm(
            prefix="transcribe",
            initial={name: getattr(entered, name) for name in TranscribeForm.base_fields}
            if entered
            else None,
        ),
        "decide": DecisionForm(
            prefix="decide",
            initial={
                "standing": found.standings[key],
                "agreed": not enquiry.blind_evaluation or may_agree(offer, key),
            },
        ),
        "ask": QuestionForm(prefix="ask", initial={"question": judgement.question}),
    }
    status, problem = 200, ""
    if request.method == "POST":
        done, status, problem = _reply_posted(request, enquiry, offer, requirement, forms)
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
    request: HttpRequest, enquiry: Enquiry, offer: Offer, requirement: Requirement, forms: dict[str, Any]
) -> tuple[str, int, str]:
    """Return what was done, or status and problem; a form filled in wrongly is put into `forms`."""
    do = request.POST.get("do", "")
    makers = {"transcribe": TranscribeForm, "decide": DecisionForm, "ask": QuestionForm}
    if do not in makers:
        return "", UNPROCESSABLE, "Choose what to do."
    form = forms[do] = makers[do](request.POST, prefix=do)
    if not form.is_valid():
        return "", UNPROCESSABLE, ""
    told, now, key = form.cleaned_data, timezone.now(), requirement.id
    try:
        if do == "transcribe":
            reply_transcribe(offer=offer, requirement=key, told=told, author=request.user, now=now)
            return "Entered on the bidder's behalf.", 200, ""
        if do == "decide":
            decision_put(offer=offer, requirement=key, author=request.user, now=now, **told)
            return "Decided.", 200, ""
        bidders = list(enquiry.bidders.all()) if told["to_all"] else [offer.bidder]
        if hinders := foreign_words(told["question"], bidders, enquiry, requirement):
            form.add_error("question", f"{hinders} Ready for everybody: {question_to_all(requirement)}")
            return "", UNPROCESSABLE, ""
        clarification_ask(
            bidders=bidders, requirement=key, question=told["question"], author=request.user, now=now
        )
    except Refused as refused:
        return "", CONFLICT, refused.text
    return "Asked.", 200, ""
