"""What became of the comments in a revision, and carrying the open ones to it."""

from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core.roles import Right
from specapp.projects.views.unreadable import shows_problems
from specapp.review.fates import Outcome, outcome_of
from specapp.review.models import Comment
from specapp.review.selectors import closed_between, full
from specapp.review.services.carrying import comments_carry, to_carry
from specapp.review.views.common import Desk, desk_of
from specapp.revisions.models import Revision
from specapp.revisions.models import State as Stage

MOST_SHOWN = 500


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def comment_fates(request: HttpRequest, project_id: int, machine_id: int, revision_id: int) -> HttpResponse:
    right = Right.ANSWER_COMMENTS if request.method == "POST" else Right.READ_DRAFT
    desk = desk_of(request, project_id, machine_id, right, revision_id=revision_id)
    revision = desk.revision
    if revision is None or revision.state == Stage.CANCELLED:
        raise Http404
    before = to_carry(desk.comments, revision)
    if request.method == "POST":
        fates = {row.number: _outcome(desk, row).fate.value for row in before.select_related("adopted")}
        count = comments_carry(revision=revision, fates=fates, author=request.user, now=timezone.now())
        messages.success(request, f"{count} comment{'' if count == 1 else 's'} carried to {revision.label}.")
        return redirect(request.path)
    carried = desk.comments.filter(carried_to=revision)
    closed = closed_between(desk.comments, _since(revision), revision)
    parts = []
    for title, rows in (("To be carried", before), ("Carried", carried), ("Closed since the last", closed)):
        shown = list(full(rows).select_related("adopted", "revision")[: MOST_SHOWN + 1])
        lines = [(row, _outcome(desk, row)) for row in shown[:MOST_SHOWN]]
        parts.append((title, lines, len(shown) > MOST_SHOWN))
    context = desk.context(request) | {
        "parts": parts,
        "to_carry": before.count(),
        "most": MOST_SHOWN,
    }
    return render(request, "review/fates.html", context)


def _outcome(desk: Desk, comment: Comment) -> Outcome:
    return outcome_of(comment, desk.proposal, desk.places, desk.revision.frozen_at)


def _since(revision: Revision) -> datetime | None:
    """Return when the issued revision before this one was frozen, None for the first."""
    if revision.replaces is not None:
        return revision.replaces.frozen_at
    issued = Revision.objects.filter(machine=revision.machine_id, state=Stage.ISSUED, pk__lt=revision.pk)
    last = issued.order_by("-pk").first()
    return last.frozen_at if last else None
