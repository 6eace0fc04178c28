"""The comments on one item, as a part of its own page."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core.htmx import varies, wants_fragment
from specapp.core.roles import Right
from specapp.projects.views.unreadable import shows_problems
from specapp.review.presenting.rows import COLUMNS, rows_html
from specapp.review.selectors import contradictions, full
from specapp.review.views.common import desk_of

MOST_SHOWN = 50


@require_safe
@shows_problems
def item_comments(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Show the latest comments on an item and on its voting group."""
    desk = desk_of(request, project_id, machine_id, Right.READ_DRAFT)
    item = request.GET.get("item", "")[:200]
    rows = desk.comments.filter(item__in=desk.keys_of(item))
    shown = list(full(rows.order_by("-number"))[:MOST_SHOWN])
    context = desk.context(request) | {
        "item": item,
        "columns": COLUMNS,
        "rows": rows_html(shown, desk.reading(contradictions(rows))),
        "count": len(shown),
        "is_cut": len(shown) == MOST_SHOWN,
    }
    part = "#rows" if wants_fragment(request) else ""
    return varies(render(request, f"review/item.html{part}", context))
