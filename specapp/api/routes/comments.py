"""Comments of a machine's review: list, read, write, reply; each reader gets what is addressed to them."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest
from django.utils import timezone
from ninja import Query, Router
from ninja.responses import Status

from specapp.api.commenting import comment_form
from specapp.api.finding import machine_of, review_of
from specapp.api.routes.common import PAGE, Id, answering
from specapp.api.shapes import CommentIn, CommentList, CommentOut, ReplyIn
from specapp.api.telling import comment_told, page_told
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.projects.access import Access
from specapp.review.audience import comments_for
from specapp.review.codes import reply_codes
from specapp.review.models import Comment, ReplyCode, State
from specapp.review.selectors import comment_page, full
from specapp.review.services.comments import comment_add, comment_reply

_COMMENTS = "/projects/{id:project_id}/machines/{id:machine_id}/comments"
COMMENT = f"{_COMMENTS}/{{id:number}}"
router = Router(tags=["Comments"])


@router.get(_COMMENTS, response=answering(200, CommentList), url_name="comments")
def comment_list(
    request: HttpRequest,
    project_id: Id,
    machine_id: Id,
    page: int = PAGE,
    state: Query[State | None] = None,
):
    """List the comments on a machine that the token's person may read, by number, 100 a page."""
    access, machine = machine_of(request, project_id, machine_id, Right.READ_COMMENTS)
    rows = comments_for(access, request.user, machine)
    shown_page = comment_page(rows.filter(state=state) if state else rows, str(page))
    return page_told(shown_page) | {"comments": [comment_told(comment) for comment in shown_page]}


@router.post(_COMMENTS, response=answering(201, CommentOut), url_name="comments")
def comment_write(request: HttpRequest, project_id: Id, machine_id: Id, comment: CommentIn):
    """Write a comment: about the whole document, an item, a field with a proposed value, or a spot."""
    desk = review_of(request, project_id, machine_id, Right.COMMENT)
    form = comment_form(desk, comment)
    written = comment_add(
        machine=desk.machine,
        place=form.place(),
        said=form.said(),
        author=request.user,
        now=timezone.now(),
    )
    return Status(201, comment_told(comment_or_404(desk.access, request, written.machine, written.number)))


@router.get(COMMENT, response=answering(200, CommentOut), url_name="comment")
def comment_read(request: HttpRequest, project_id: Id, machine_id: Id, number: Id):
    """Read a comment with everything in its row."""
    access, machine = machine_of(request, project_id, machine_id, Right.READ_COMMENTS)
    return comment_told(comment_or_404(access, request, machine, number))


@router.post(f"{COMMENT}/replies", response=answering(201, CommentOut), url_name="comment-replies")
def comment_answer(request: HttpRequest, project_id: Id, machine_id: Id, number: Id, reply: ReplyIn):
    """Reply to a comment; a reply with a code answers it. 409 where it has changed since `version`."""
    access, machine = machine_of(request, project_id, machine_id, Right.COMMENT)
    comment = comment_or_404(access, request, machine, number)
    comment_reply(
        comment=comment,
        expected_version=reply.version,
        text=reply.text,
        code=_code(access, reply.code) if reply.code else None,
        author=request.user,
        now=timezone.now(),
    )
    return Status(201, comment_told(comment_or_404(access, request, machine, number)))


def comment_or_404(access: Access, request: HttpRequest, machine, number: int) -> Comment:
    """Return a comment that the token's person may read, with everything in its row. Raises `Http404`."""
    comment = full(comments_for(access, request.user, machine)).filter(number=number).first()
    if comment is None:
        raise Http404
    return comment


def _code(access: Access, mark: str) -> ReplyCode:
    if not access.may(Right.ANSWER_COMMENTS):
        raise PermissionDenied("Whoever answers comments gives a reply code.")
    codes = reply_codes(access.project)
    found = next((code for code in codes if code.code == mark), None)
    if found is None:
        allowed = ", ".join(code.code for code in codes)
        raise InputErrors([Problem("code", shown(mark), allowed)])
    return found
