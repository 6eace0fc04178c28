"""Two states held against the comments, as a page and as a part of the comparison."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from specapp.core.htmx import varies, wants_fragment
from specapp.core.roles import Right
from specapp.projects.views.unreadable import shows_problems
from specapp.review.comparing import held_against
from specapp.review.presenting.rows import where_text
from specapp.review.selectors import comments_between
from specapp.review.views.common import desk_of
from specapp.revisions.presenting.comparison import differences
from specapp.revisions.selectors import machine_revisions
from specapp.revisions.views.comparing import WORKING, named, state_proposal
from specapp.rulebook.comparison import compare

MOST_SHOWN = 300


@require_safe
@shows_problems
def change_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    desk = desk_of(request, project_id, machine_id, Right.READ_DRAFT, of_machine=True)
    revisions = {str(row.pk): row for row in machine_revisions(desk.machine)}
    names = {WORKING: f"working, v{desk.machine.version}"} | {
        key: named(row) for key, row in revisions.items()
    }
    was, now = request.GET.get("was", WORKING), request.GET.get("is", WORKING)
    if was not in names or now not in names:
        raise Http404
    before, after = (state_proposal(desk.machine, revisions.get(key)) for key in (was, now))
    since = revisions[was].frozen_at if was in revisions else None
    until = revisions[now].frozen_at if now in revisions else timezone.now()
    comments = list(comments_between(desk.comments, since, until)[: MOST_SHOWN + 1])
    held = held_against(compare(before, after), before, after, comments[:MOST_SHOWN])
    context = desk.context(request) | {
        "was": was,
        "now": now,
        "was_name": names[was],
        "now_name": names[now],
        "names": names.items(),
        "held": held,
        # Beside the whole comparison most of it stands there already.
        "blocks": differences(held.uncommented, may_open=not wants_fragment(request)),
        "unchanged": [
            (comment, where_text(comment, desk.places), next(reversed(list(comment.entries.all())), None))
            for comment in held.unchanged
        ],
        "is_cut": len(comments) > MOST_SHOWN,
        "most": MOST_SHOWN,
    }
    part = "#held" if wants_fragment(request) else ""
    return varies(render(request, f"review/changes.html{part}", context))
