"""Finding a machine or a point, by tag or by words, in all of a person's projects."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.lists.selectors import MOST_FOUND, machines_search, points_search

_LONGEST = 120


@require_safe
def machine_search(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("q", "").replace("\0", "")[:_LONGEST].strip()
    context = {
        "text": text,
        "machines": machines_search(request.user, text),
        "points": points_search(request.user, text),
        "most": MOST_FOUND,
    }
    return render(request, "lists/search.html", context)
