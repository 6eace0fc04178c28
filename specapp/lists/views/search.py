"""Finding a machine or a point, by tag or by words, in all of a person's projects."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core.list_files import list_file
from specapp.lists.finding import machines_table, points_table
from specapp.lists.selectors import MOST_FOUND, machines_search, points_search

_LONGEST = 120


@require_safe
def machine_search(request: HttpRequest) -> HttpResponse:
    text = request.GET.get("q", "").replace("\0", "")[:_LONGEST].strip()
    machines, points = machines_search(request.user, text), points_search(request.user, text)
    tables = {"machines": machines_table(machines), "points": points_table(points)}
    if file := list_file(request, "found", {key: table.schedule for key, table in tables.items()}):
        return file
    context = {
        "text": text,
        "machines": machines,
        "points": points,
        "machines_table": tables["machines"],
        "points_table": tables["points"],
        "most": MOST_FOUND,
    }
    return render(request, "lists/search.html", context)
