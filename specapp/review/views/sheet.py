"""The comment sheet beside the drawing, a form to write on it, and the question whether there is news."""

from collections.abc import Iterable
from typing import Any
from urllib.parse import quote

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.htmx import varies, wants_fragment
from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.roles import Right
from specapp.core.whole_numbers import whole_number
from specapp.domain.proposal import Proposal
from specapp.projects.views.unreadable import shows_problems
from specapp.review.audience import audiences_of
from specapp.review.clouding import Clouding, clouding_of
from specapp.review.forms import CommentForm
from specapp.review.models import Category, Comment, Discipline, State
from specapp.review.places import ARRANGEMENT, is_scene
from specapp.review.presenting.drawing import Drawing, review_drawing
from specapp.review.presenting.rows import COLUMNS, rows_html
from specapp.review.reviewing import MOST_ROUNDS, round_rows, rounds_for
from specapp.review.selectors import (
    MOST_MARKS,
    ON_A_PAGE,
    Filter,
    comment_counts,
    comment_page,
    comments_after,
    contradictions,
)
from specapp.review.services.comments import comment_add
from specapp.review.views.common import Desk, desk_of, stands
from specapp.revisions.content import content_of
from specapp.revisions.models import Revision


@require_safe
@shows_problems
def comment_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    desk = desk_of(request, project_id, machine_id)
    wanted = Filter.of(request.GET)
    shown = wanted.applied(desk.comments, request.user, desk.today, desk.keys_of(wanted.item))
    counts = comment_counts(desk.comments, desk.today)
    found = contradictions(desk.comments)
    page = comment_page(shown, request.GET.get("page", ""), counts.all if wanted == Filter() else None)
    revisions = desk.revisions()
    drawing = drawing_of(desk, request.GET.get("on", "") or ARRANGEMENT, page.object_list, revisions)
    scenes = {drawing.name: drawing.digest} if drawing else {}
    rounds = rounds_for(desk.access, request.user, desk.machine).filter(consolidated_at=None)[:MOST_ROUNDS]
    query = request.GET.copy()
    query.pop("page", None)
    context = desk.context(request) | {
        "counts": counts,
        "page": page,
        "columns": COLUMNS,
        "rows": rows_html(page, desk.reading(found, scenes)),
        "contradictions": found,
        "filter": wanted,
        "query": f"{query.urlencode()}&" if query else "",
        "is_filtered": wanted != Filter(),
        "states": State.choices,
        "categories": Category.choices,
        "disciplines": Discipline.choices,
        "drawing": drawing,
        "stands": stands(desk.machine, revisions),
        "revisions": revisions,
        "rounds": round_rows(rounds, desk.access, request.user, desk.today),
        "item_name": _item_name(desk, wanted.item),
        "full_size": request.GET.get("size") == "full",
        "form": _form(desk, None, _asked(request, drawing)) if desk.may_comment else None,
    }
    return render(request, "review/comments.html", context)


def _item_name(desk: Desk, item: str) -> str:
    return ((desk.places.names.get(item) if desk.places else None) or item).partition(",")[0]


def _asked(request: HttpRequest, drawing: Drawing | None) -> dict[str, str]:
    """Return what a form begins with: the item that was looked for, and the drawing beside it."""
    told = {"scene": drawing.name if drawing else ""}
    return told | {name: request.GET[name] for name in ("item", "field") if name in request.GET}


def drawing_of(
    desk: Desk,
    name: str,
    comments: Iterable[Comment] | None = None,
    revisions: Iterable[Revision] | None = None,
) -> Drawing | None:
    """Return a drawing with marks, None for people who may not read the draft.

    Marked is what is not closed among the comments given, or else the first of all. `revisions` are those
    of the machine, where they have been read already.
    """
    if desk.proposal is None:
        return None
    if comments is None:
        marked = desk.comments.filter(scene=name).exclude(state=State.CLOSED).defer("text")[:MOST_MARKS]
    else:
        marked = [each for each in comments if each.scene == name and each.state != State.CLOSED]
    return _drawn(desk, desk.proposal, name, marked, clouding_of(desk.revision, known=revisions))


def drawing_then(desk: Desk, comment: Comment) -> Drawing | None:
    """Return the drawing on which a comment was made, with its one mark; as it stands now for the draft."""
    if desk.proposal is None or not comment.scene:
        return None
    proposal = content_of(comment.content_id).proposal if comment.content_id else desk.proposal
    if not is_scene(proposal, comment.scene):
        return None
    against = clouding_of(comment.revision, comment.content_id) if comment.content_id else None
    return _drawn(desk, proposal, comment.scene, [comment], against)


def _drawn(
    desk: Desk, proposal: Proposal, name: str, marked: Iterable[Comment], against: Clouding | None
) -> Drawing:
    try:
        return review_drawing(proposal, name, marked, desk.list_url, against)
    except KeyError as error:
        raise Http404 from error


def _form(desk: Desk, data: Any, initial: dict[str, Any], files: Any = None) -> CommentForm:
    return CommentForm(
        data,
        files,
        initial=initial,
        audiences=audiences_of(desk.access),
        proposal=desk.proposal,
        places=desk.places,
        auto_id="f-%s",
    )


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def comment_new(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Write a comment: the whole page for itself, which also shows what is to be corrected."""
    desk = desk_of(request, project_id, machine_id, Right.COMMENT)
    kept = take(request) if request.method != "POST" else None
    asked = {name: request.GET[name] for name in ("item", "field", "value", "scene") if name in request.GET}
    typed = request.POST if request.method == "POST" else kept
    form = _form(desk, typed, asked, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        comment = comment_add(
            machine=desk.machine,
            place=form.place(),
            said=form.said(),
            author=request.user,
            now=timezone.now(),
            paper=form.cleaned_data.get("paper"),
            on=desk.revision,
        )
        return redirect(_shown_at(desk, comment.number, comment.scene))
    scene = (typed or request.GET).get("scene", "")
    context = desk.context(request) | {
        "form": form,
        "came_back": bool(kept),
        "drawing": drawing_of(desk, scene) if is_scene(desk.proposal, scene) else None,
        "stands": stands(desk.machine, desk.revisions()),
    }
    return render(
        request, "review/comment_new.html", context, status=422 if request.method == "POST" else 200
    )


def _shown_at(desk: Desk, number: int, scene: str) -> str:
    """Return the page of the sheet on which a comment stands."""
    place = desk.comments.filter(number__lte=number).count()
    page = (max(place, 1) - 1) // ON_A_PAGE + 1
    drawing = f"on={quote(scene)}&" if scene else ""
    stand = f"{desk.stand}&" if desk.stand else ""
    return f"{desk.list_url}?{stand}{drawing}page={page}#c{number}"


@require_safe
@shows_problems
def comment_news(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Tell how many comments of others are newer than those shown; nothing moves by itself."""
    desk = desk_of(request, project_id, machine_id)
    after = request.GET.get("after", "")
    number = whole_number(after)
    if not wants_fragment(request):
        return varies(redirect(_shown_at(desk, number + 1, "")))
    context = {
        "new": comments_after(desk.comments, request.user, number),
        "after": number,
        "project": desk.access.project,
        "machine": desk.machine,
    }
    return varies(render(request, "review/comments.html#news", context))
