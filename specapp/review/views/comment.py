"""One comment with everything in its row, and the steps that can be taken with it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.downloads import UNREAD, attachment
from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.domain.problems import InputErrors, Problem
from specapp.projects.errors import StaleVersion
from specapp.projects.views.unreadable import shows_problems
from specapp.review.attachments import paper_of
from specapp.review.audience import audiences_of, comments_for, review_or_404
from specapp.review.codes import reply_codes
from specapp.review.errors import NotNow, StaleComment
from specapp.review.fates import outcome_of
from specapp.review.forms import CommentForm
from specapp.review.models import LONGEST_REASON, LONGEST_TEXT, Audience, Comment, ReplyCode, State, Step
from specapp.review.presenting.rows import COLUMNS, rows_html
from specapp.review.selectors import contradictions, full
from specapp.review.services.comments import (
    comment_adopt,
    comment_change,
    comment_close,
    comment_reopen,
    comment_reply,
)
from specapp.review.views.common import Desk, desk_of
from specapp.review.views.sheet import drawing_then

_DONE = {
    "reply": "Replied to comment {}.",
    "close": "Comment {} is closed.",
    "reopen": "Comment {} is open again.",
    "adopt": "The value of comment {} is set; the rule's own value stays beside it.",
    "change": "Comment {} is changed.",
}


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def comment_show(request: HttpRequest, project_id: int, machine_id: int, number: int) -> HttpResponse:
    desk = desk_of(request, project_id, machine_id, of_machine=True)
    comment = full(desk.comments).filter(number=number).first()
    if comment is None:
        raise Http404
    if request.method != "POST":
        return _page(request, desk, comment, take(request) or {}, 200)
    if not desk.may_comment:
        raise PermissionDenied("Your role in this project reads comments and does not write them.")
    typed = request.POST
    try:
        done = _step(request, desk, comment)
    except InputErrors as errors:
        return _page(request, desk, comment, typed, 422, problems=errors.problems)
    except NotNow as refused:
        return _page(request, desk, _again(desk, number), typed, 409, refused=str(refused))
    except StaleComment:
        told = "Someone else has changed this comment meanwhile. It stands below as it is now."
        return _page(request, desk, _again(desk, number), typed, 409, refused=told)
    except StaleVersion as stale:
        told = f"{stale.machine.updated_by} changed this machine meanwhile. If it still fits, adopt again."
        return _page(
            request,
            desk_of(request, project_id, machine_id, of_machine=True),
            _again(desk, number),
            typed,
            409,
            refused=told,
        )
    messages.success(request, _DONE[done].format(number))
    return redirect("review:comment-show", *desk.place, number)


def _again(desk: Desk, number: int) -> Comment:
    return full(desk.comments).get(number=number)


def _step(request: HttpRequest, desk: Desk, comment: Comment) -> str:
    """Take the step a form asks for and return its name. Raises what the services raise."""
    typed, step = request.POST, request.POST.get("do", "")
    told: dict[str, Any] = {
        "comment": comment,
        "expected_version": version_in(typed),
        "author": request.user,
        "now": timezone.now(),
    }
    reason = typed.get("reason", "")
    if step == "reply":
        upload = request.FILES.get("attachment")
        paper = paper_of(upload.name, upload.read()) if upload else None
        code = _code(desk, typed.get("code", ""))
        comment_reply(**told, text=typed.get("text", ""), code=code, paper=paper)
    elif step == "close":
        comment_close(**told, reason=reason, may_answer=desk.may_answer)
    elif step == "reopen":
        comment_reopen(**told, reason=reason)
    elif step == "adopt":
        if not desk.access.may_edit_machines:
            raise PermissionDenied("Whoever may describe machines adopts a value.")
        comment_adopt(**told, reason=reason, machine_version=version_in(typed, "machine_version"))
    elif step == "change":
        form = _change_form(desk, comment, typed)
        if not form.is_valid():
            raise InputErrors(
                Problem(form[name].label if name in form.fields else name, "what was typed", " ".join(each))
                for name, each in form.errors.items()
            )
        comment_change(**told, said=form.said())
    else:
        raise InputErrors([Problem("step", "no step of this page", "one of its buttons")])
    return step


def _code(desk: Desk, mark: str) -> ReplyCode | None:
    if not mark:
        return None
    if not desk.may_answer:
        raise PermissionDenied("Whoever answers comments gives a reply code.")
    codes = reply_codes(desk.access.project)
    found = next((code for code in codes if code.code == mark), None)
    if found is None:
        raise InputErrors([Problem("code", mark[:20], ", ".join(code.code for code in codes))])
    return found


def _change_form(desk: Desk, comment: Comment, typed: Any) -> CommentForm:
    """Return the form of what a comment says; what it belongs to does not change."""
    initial = {
        "text": comment.text,
        "category": comment.category,
        "discipline": comment.discipline,
        "audience": comment.audience,
        "due_date": comment.due_date,
    }
    form = CommentForm(
        typed,
        initial=initial,
        audiences=audiences_of(desk.access),
        proposal=None,
        places=None,
        auto_id="g-%s",
    )
    del form.fields["attachment"]
    return form


def _page(
    request: HttpRequest,
    desk: Desk,
    comment: Comment,
    typed: Any,
    status: int,
    problems: Any = (),
    refused: str = "",
) -> HttpResponse:
    found = contradictions(desk.comments)
    drawing = drawing_then(desk, comment)
    scenes = {drawing.name: drawing.digest} if drawing else {}
    outcome = outcome_of(comment, desk.proposal, desk.places) if desk.places and comment.item else None
    is_own = comment.author_id == request.user.pk
    is_adopted = comment.adopted is not None and comment.adopted.undone_at is None
    is_untouched = all(entry.step == Step.CHANGE for entry in comment.entry_list)
    context = desk.context(request) | {
        "comment": comment,
        "columns": COLUMNS,
        "row": rows_html([comment], desk.reading(found, scenes)),
        "drawing": drawing,
        "drawn_alone": True,
        "outcome": outcome,
        "typed": typed,
        "problems": problems,
        "refused": refused,
        "codes": reply_codes(desk.access.project) if desk.may_answer else [],
        "may_close": desk.may_comment and comment.state != State.CLOSED and (is_own or desk.may_answer),
        "needs_reason": not is_own or bool(comment.author_outside),
        "may_reopen": desk.may_comment and comment.state != State.OPEN,
        "may_reply": desk.may_comment and comment.state != State.CLOSED,
        "may_adopt": desk.access.may_edit_machines
        and comment.proposed is not None
        and comment.state != State.CLOSED
        and not is_adopted,
        "adopt_reason": "" if comment.audience == Audience.INTERNAL else " ".join(comment.text.split())[:300],
        "change_form": _change_form(desk, comment, typed if typed.get("do") == "change" else None)
        if desk.may_comment and is_own and comment.state == State.OPEN and is_untouched
        else None,
        "most_text": LONGEST_TEXT,
        "most_reason": LONGEST_REASON,
    }
    return render(request, "review/comment.html", context, status=status)


@require_safe
def attachment_show(
    request: HttpRequest, project_id: int, machine_id: int, number: int, attachment_id: int
) -> HttpResponse:
    """Download an attachment; it is never shown in the page, whatever it is."""
    access, machine = review_or_404(request, project_id, machine_id, Right.READ_COMMENTS)
    comment = comments_for(access, request.user, machine).filter(number=number).first()
    paper = comment.attachments.filter(pk=attachment_id).first() if comment else None
    if paper is None:
        raise Http404
    name = paper.name if paper.name.isascii() else f"attachment-{paper.pk}.{paper.kind}"
    return attachment(bytes(paper.content), UNREAD, name)
