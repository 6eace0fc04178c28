"""Rounds of review: asking for one, changing it, answering it, consolidating it."""

from datetime import timedelta
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core.form_problems import add_problems
from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.domain.problems import InputErrors
from specapp.projects.views.unreadable import shows_problems
from specapp.review.audience import is_outside
from specapp.review.codes import reply_codes
from specapp.review.errors import NotNow, StaleRound
from specapp.review.models import Answer, Round
from specapp.review.presenting.rows import code_facts
from specapp.review.reviewing import (
    MOST_ROUNDS,
    RoundRow,
    comments_by_person,
    comments_of_round,
    looks_by_person,
    open_by_item,
    round_rows,
    rounds_for,
)
from specapp.review.round_forms import AnswerForm, ChangeForm, OutcomeForm, RoundForm
from specapp.review.selectors import contradictions
from specapp.review.services.round_changes import round_change
from specapp.review.services.rounds import round_answer, round_consolidate, round_open
from specapp.review.views.common import Desk, desk_of, stands

# Common practice: ten working days.
_USUAL_TIME = timedelta(days=14)
# By the step of the page: what a person writes in its form, with the field's label.
_WRITTEN = {
    "answer": (("Note", "note"),),
    "consolidate": (("Outcome", "outcome"), ("Code", "code")),
    "change": (("Answers due", "due_date"), ("Reason", "reason")),
}


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def round_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    desk = desk_of(request, project_id, machine_id, of_machine=True)
    if request.method != "POST":
        return _list(request, desk, _ask_form(desk, request, take(request)), 200)
    if not desk.may_answer:
        raise PermissionDenied("Whoever answers comments asks for reviews.")
    form = _ask_form(desk, request, request.POST)
    if not form.is_valid():
        return _list(request, desk, form, 422)
    told = form.cleaned_data
    revisions = {str(row.pk): row for row in desk.revisions()}
    try:
        review = round_open(
            machine=desk.machine,
            revision=revisions.get(told["revision"]),
            purpose=told["purpose"],
            due_date=told["due_date"],
            lead=told["lead"],
            reviewers=told["reviewers"],
            author=request.user,
            now=timezone.now(),
        )
    except InputErrors as errors:
        add_problems(form, errors.problems, _FIELDS)
        return _list(request, desk, form, 422)
    messages.success(request, f"Asked {len(told['reviewers'])} for their review.")
    return redirect("review:round-show", *desk.place, review.pk)


_FIELDS = {"purpose": "purpose", "due date": "due_date", "reviewers": "reviewers"}


def _ask_form(desk: Desk, request: HttpRequest, typed: Any) -> RoundForm | None:
    if not desk.may_answer:
        return None
    revisions = desk.revisions()
    initial = {
        "lead": request.user.pk,
        "due_date": desk.today + _USUAL_TIME,
        "revision": request.GET.get("revision", ""),
    }
    return RoundForm(
        typed, initial=initial, project=desk.access.project, stands=stands(desk.machine, revisions)
    )


def _list(request: HttpRequest, desk: Desk, form: RoundForm | None, status: int) -> HttpResponse:
    rounds = rounds_for(desk.access, request.user, desk.machine)[:MOST_ROUNDS]
    context = desk.context(request) | {
        "rounds": round_rows(rounds, desk.access, request.user, desk.today),
        "form": form,
    }
    return render(request, "review/rounds.html", context, status=status)


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def round_show(request: HttpRequest, project_id: int, machine_id: int, round_id: int) -> HttpResponse:
    desk = desk_of(request, project_id, machine_id, of_machine=True)
    row = _row(request, desk, round_id)
    kept = take(request) if request.method != "POST" else None
    if request.method != "POST":
        return _page(request, desk, row, kept or {}, 200)
    if not desk.may_comment:
        raise PermissionDenied("Your role in this project reads reviews and does not answer them.")
    try:
        return _step(request, desk, row)
    except NotNow as refused:
        return _page(request, desk, _row(request, desk, round_id), request.POST, 409, refused=str(refused))
    except StaleRound as stale:
        by = f", by {stale.round.consolidated_by}" if stale.round.consolidated_by else ""
        step = "consolidated" if stale.round.consolidated_at else "changed"
        told = f"This review was {step} meanwhile{by}. It stands below as it is now."
        return _page(request, desk, _row(request, desk, round_id), request.POST, 409, refused=told)


def _row(request: HttpRequest, desk: Desk, round_id: int) -> RoundRow:
    rounds = rounds_for(desk.access, request.user, desk.machine).filter(pk=round_id)
    found = round_rows(rounds, desk.access, request.user, desk.today)
    if not found:
        raise Http404
    return found[0]


def _step(request: HttpRequest, desk: Desk, row: RoundRow) -> HttpResponse:
    """Take the step a form asks for. Raises `NotNow` and `StaleRound`."""
    typed = request.POST
    if typed.get("do") == "answer":
        form = AnswerForm(typed)
        if not form.is_valid():
            return _page(request, desk, row, typed, 422, answer_form=form)
        answer = Answer(form.cleaned_data["answer"])
        note = form.cleaned_data["note"]
        round_answer(review=row.round, answer=answer, note=note, author=request.user, now=timezone.now())
        messages.success(request, f"Your answer is kept: {answer.label}.")
    elif typed.get("do") == "consolidate":
        if not desk.may_answer:
            raise PermissionDenied("Whoever answers comments consolidates a review.")
        form = _outcome_form(desk, typed)
        if not form.is_valid():
            return _page(request, desk, row, typed, 422, outcome_form=form)
        round_consolidate(
            review=row.round,
            expected_version=version_in(typed),
            outcome=form.cleaned_data["outcome"],
            code=form.codes[form.cleaned_data["code"]],
            may_stand_in=desk.access.may(Right.MANAGE_PROJECT),
            author=request.user,
            now=timezone.now(),
        )
        messages.success(request, "The review is consolidated.")
    elif typed.get("do") == "change":
        if not desk.may_answer:
            raise PermissionDenied("Whoever answers comments changes a review.")
        # Told before the form is read: whom it may name depends on who is asked by now.
        if version_in(typed) != row.round.version:
            raise StaleRound(row.round)
        form = _change_form(desk, row, typed)
        if not form.is_valid() or not _changed(request, desk, row, form):
            return _page(request, desk, row, typed, 422, change_form=form)
        messages.success(request, "The review is changed; everybody it concerns sees what and why.")
    else:
        told = "Found no step of this page; allowed: one of its buttons."
        return _page(request, desk, row, typed, 422, refused=told)
    return redirect("review:round-show", *desk.place, row.round.pk)


def _changed(request: HttpRequest, desk: Desk, row: RoundRow, form: ChangeForm) -> bool:
    """Change a round as a form says; False where the form holds what is to be corrected."""
    told = form.cleaned_data
    try:
        round_change(
            review=row.round,
            expected_version=version_in(request.POST),
            due_date=told["due_date"],
            add=told["add"],
            excuse=told["excuse"],
            reason=told["reason"],
            may_stand_in=desk.access.may(Right.MANAGE_PROJECT),
            author=request.user,
            now=timezone.now(),
        )
    except InputErrors as errors:
        add_problems(form, errors.problems, _CHANGE_FIELDS)
        return False
    return True


_CHANGE_FIELDS = {"due date": "due_date", "excused": "excuse", "reviewers": "excuse", "reason": "reason"}


def _change_form(desk: Desk, row: RoundRow, typed: Any) -> ChangeForm:
    review = row.round
    review.machine = desk.machine
    return ChangeForm(typed, initial={"due_date": review.due_date}, review=review)


def _outcome_form(desk: Desk, typed: Any) -> OutcomeForm:
    return OutcomeForm(typed, codes=reply_codes(desk.access.project))


def _page(
    request: HttpRequest,
    desk: Desk,
    row: RoundRow,
    typed: Any,
    status: int,
    *,
    refused: str = "",
    answer_form: AnswerForm | None = None,
    outcome_form: OutcomeForm | None = None,
    change_form: ChangeForm | None = None,
) -> HttpResponse:
    review = row.round
    given = comments_by_person(comments_of_round(desk.comments, review))
    looked = looks_by_person(desk.machine, desk.places) if desk.places else {}
    items, more = open_by_item(desk.comments, desk.places)
    may_lead = (
        not row.is_done
        and desk.may_answer
        and (review.lead_id == request.user.pk or desk.access.may(Right.MANAGE_PROJECT))
    )
    may_still_answer = row.own is not None and not row.is_excused and not row.is_done
    if answer_form is None and may_still_answer and desk.may_comment:
        initial = {"answer": row.own.answer, "note": row.own.note}
        answer_form = AnswerForm(typed if typed.get("do") == "answer" else None, initial=initial)
    if outcome_form is None and may_lead:
        outcome_form = _outcome_form(desk, typed if typed.get("do") == "consolidate" else None)
    if change_form is None and may_lead:
        change_form = _change_form(desk, row, typed if typed.get("do") == "change" else None)
    forms = {"answer": answer_form, "consolidate": outcome_form, "change": change_form}
    context = desk.context(request) | {
        "row": row,
        "round": review,
        "answers": [
            (each, given.get(each.person_id, 0), looked.get(each.person_id, 0)) for each in row.reviewers
        ],
        "points": len(desk.places.groups) if desk.places else 0,
        "contradictions": contradictions(desk.comments),
        "items": items,
        "more": more,
        "refused": refused,
        "not_kept": _not_kept(typed, forms) if refused else [],
        "answer_form": answer_form,
        "outcome_form": outcome_form,
        "change_form": change_form,
        "is_changing": typed.get("do") == "change",
        "facts": code_facts(review.may_proceed, review.resubmit) if row.is_done else "",
        "outsiders": _outsiders(desk, review),
    }
    return render(request, "review/round.html", context, status=status)


def _not_kept(typed: Any, forms: dict[str, Any]) -> list[tuple[str, str]]:
    """Return what was written for a step that no form on the page takes any more, to be read and copied."""
    step = typed.get("do", "")
    if forms.get(step) is not None:
        return []
    return [(label, typed[name]) for label, name in _WRITTEN.get(step, ()) if typed.get(name)]


def _outsiders(desk: Desk, review: Round) -> list[str]:
    """Return who of another company is asked and so reads the outcome."""
    if is_outside(desk.access.role):
        return []
    people = [each.person_id for each in review.reviewers.all()]
    rows = desk.access.project.memberships.filter(user__in=people).select_related("user")
    return [f"{row.user}, {row.get_role_display()}" for row in rows if is_outside(row.role)]
