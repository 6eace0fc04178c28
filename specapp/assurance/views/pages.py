"""What the pages of assurance have in common."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from specapp.assurance.presenting.parts import Part
from specapp.core.list_files import list_file

PAGES = (
    ("function-list", "Trip reliability"),
    ("voting-decide", "Voting"),
    ("loop-list", "Loops"),
    ("entity-list", "Intrinsic safety"),
    ("area-show", "Hazardous area"),
)


def page(
    request: HttpRequest,
    context: dict[str, Any],
    parts: Sequence[Part],
    here: str,
    *,
    template: str = "assurance/page.html",
    status: int = 200,
) -> HttpResponse:
    """Return a page of assurance: its parts below the links to its neighbours."""
    lists = {key: schedule for part in parts for key, schedule in part.lists.items()}
    if file := list_file(request, context["machine"].tag, lists):
        return file
    title = context.get("title") or dict(PAGES)[here]
    context |= {"parts": parts, "pages": PAGES, "here_page": here, "title": title}
    return render(request, template, context, status=status)
