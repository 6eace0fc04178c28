"""The log of clarifications: what each bidder was asked, what it answered, what is ready to be asked."""

from collections import defaultdict
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from specapp.bids.access import enquiry_or_404
from specapp.bids.comparing import compared
from specapp.bids.errors import Refused
from specapp.bids.judging import sheet_in_force
from specapp.bids.life_forms import AskForm, EnteredAnswerForm
from specapp.bids.models import Clarification, Enquiry, Stage
from specapp.bids.neutral import foreign_words, ready_questions
from specapp.bids.services.evaluating import clarification_answer, clarification_ask
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.core.roles import Right
from specapp.projects.access import Access

SHOWN = {"all": "all", "open": "open", "answered": "answered", "ready": "ready to be asked"}
_ASKED_WHILE = (Stage.ISSUED, Stage.OPENED, Stage.DECIDED, Stage.PRICED)


@require_http_methods(["GET", "HEAD", "POST"])
def clarification_log(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    """Show the log; ask the chosen ready questions, or one in one's own words."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if request.method != "POST":
        return _page(request, access, enquiry)
    _may_ask_or_403(access)
    if enquiry.stage not in _ASKED_WHILE:
        text = f"The enquiry is {enquiry.get_stage_display()}: nothing is asked."
        return _page(request, access, enquiry, CONFLICT, text)
    if request.POST.get("do") == "ready":
        return _ask_ready(request, access, enquiry)
    form = AskForm(request.POST, prefix="ask", bidders=enquiry.bidders.all())
    if not form.is_valid():
        return _page(request, access, enquiry, UNPROCESSABLE, ask_form=form)
    told = form.cleaned_data
    bidders = [told["bidder"]] if told["bidder"] else list(enquiry.bidders.all())
    asked = {each.id: each for each in sheet_in_force(enquiry).asked.requirements}
    about = asked.get(told["requirement"])
    if told["requirement"] and about is None:
        form.add_error("requirement", "Allowed: the id of a requirement as issued, such as SIG-05.")
    elif hinders := foreign_words(told["question"], bidders, enquiry, about):
        form.add_error("question", hinders)
    if form.errors:
        return _page(request, access, enquiry, UNPROCESSABLE, ask_form=form)
    clarification_ask(
        bidders=bidders,
        requirement=told["requirement"],
        question=told["question"],
        author=request.user,
        now=timezone.now(),
    )
    return _asked(request, access, enquiry, len(bidders))


def _ask_ready(request: HttpRequest, access: Access, enquiry: Enquiry) -> HttpResponse:
    chosen = set(request.POST.getlist("ready"))
    found = [each for each in _ready(enquiry) if each["key"] in chosen]
    if not found:
        return _page(request, access, enquiry, UNPROCESSABLE, "Choose at least one question that is ready.")
    for each in found:
        clarification_ask(
            bidders=[each["bidder"]],
            requirement=each["requirement"],
            question=each["question"],
            author=request.user,
            now=timezone.now(),
        )
    return _asked(request, access, enquiry, len(found))


def _asked(request: HttpRequest, access: Access, enquiry: Enquiry, count: int) -> HttpResponse:
    messages.success(request, f"Asked: {count}.")
    return redirect("bids:clarification-log", access.project.pk, enquiry.pk)


def _may_ask(access: Access) -> bool:
    return access.may(Right.ENQUIRE) or access.may(Right.EVALUATE)


def _may_ask_or_403(access: Access) -> None:
    if not _may_ask(access):
        raise PermissionDenied("Who makes enquiries or judges offers asks bidders and enters their answers.")


def _ready(enquiry: Enquiry) -> list[dict[str, Any]]:
    if enquiry.stage != Stage.OPENED:
        return []
    return ready_questions(enquiry, compared(enquiry).offers)


def _page(
    request: HttpRequest, access: Access, enquiry: Enquiry, status: int = 200, problem: str = "", **forms: Any
) -> HttpResponse:
    shown = request.GET.get("show", "all")
    shown = shown if shown in SHOWN else "all"
    rows = list(
        Clarification.objects.filter(bidder__enquiry=enquiry).select_related(
            "bidder", "asked_by", "answered_by"
        )
    )
    ready = _ready(enquiry)
    is_open = [each for each in rows if each.answered_at is None]
    counts = {
        "all": len(rows),
        "open": len(is_open),
        "answered": len(rows) - len(is_open),
        "ready": len(ready),
    }
    bidders: dict[Any, list[Clarification]] = defaultdict(list)
    for row in rows:
        if shown == "all" or (shown == "open") == (row.answered_at is None):
            bidders[row.bidder].append(row)
    context = {
        "bidders": [] if shown == "ready" else sorted(bidders.items(), key=lambda item: item[0].name),
        "ready": ready if shown in ("all", "ready") else [],
        "filters": [(key, title, counts[key]) for key, title in SHOWN.items()],
        "shown": shown,
        "may_ask": _may_ask(access) and enquiry.stage in _ASKED_WHILE,
        "ask_form": AskForm(prefix="ask", bidders=enquiry.bidders.all()),
        "answer_form": EnteredAnswerForm(prefix="answer"),
        "problem": problem,
        **forms,
    }
    return page(request, access, enquiry, "clarifications", status, **context)


@require_POST
def clarification_enter(
    request: HttpRequest, project_id: int, enquiry_id: int, clarification_id: int
) -> HttpResponse:
    """Enter an answer that came another way, with where it stands."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    _may_ask_or_403(access)
    row = Clarification.objects.filter(bidder__enquiry=enquiry, pk=clarification_id).first()
    if row is None:
        raise Http404
    form = EnteredAnswerForm(request.POST, prefix="answer")
    if not form.is_valid():
        return _page(request, access, enquiry, UNPROCESSABLE, answer_form=form, answer_for=row.pk)
    try:
        clarification_answer(clarification=row, author=request.user, now=timezone.now(), **form.cleaned_data)
    except Refused as refused:
        return _page(request, access, enquiry, CONFLICT, refused.text, answer_form=form, answer_for=row.pk)
    messages.success(request, f"Entered: the answer of {row.bidder.name} to {row.number}.")
    return redirect("bids:clarification-log", access.project.pk, enquiry.pk)
