"""Ticking items as looked at; a tick falls when the item says something else."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core.roles import Right
from specapp.projects.views.unreadable import shows_problems
from specapp.review.places import item_digest
from specapp.review.presenting.looks import look_lines
from specapp.review.reviewing import looks_of
from specapp.review.selectors import open_numbers
from specapp.review.services.rounds import looks_set
from specapp.review.views.common import desk_of


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def look_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Show the items of one kind with who has looked at each; keep the ticks of whoever sends the form.

    A tick is sent with what its item said on the page, so that it never stands for what nobody has seen.
    """
    desk = desk_of(request, project_id, machine_id, Right.READ_DRAFT)
    places = desk.places
    titles = [each.title for each in places.choices]
    asked = request.POST.get("kind", "") or request.GET.get("kind", "")
    kind = asked if asked in titles else titles[0]
    choices = next(each for each in places.choices if each.title == kind)
    if request.method == "POST":
        if not desk.may_comment:
            raise PermissionDenied("Your role in this project reads reviews and does not take part in them.")
        shown = {
            key: digest for digest, _, key in (each.partition(":") for each in request.POST.getlist("item"))
        }
        known = {key: shown[key][:16] for key, _ in choices.items if key in shown}
        seen = {key for key in request.POST.getlist("seen") if key in known}
        changed = looks_set(
            machine=desk.machine, person=request.user, digests=known, seen=seen, now=timezone.now()
        )
        messages.success(
            request, f"{changed} tick{'' if changed == 1 else 's'} changed." if changed else "As before."
        )
        stand = f"&{desk.stand}" if desk.stand else ""
        return redirect(f"{request.path}?kind={kind}{stand}")
    digests = {key: item_digest(places, key) for key, _ in choices.items}
    lines = look_lines(
        desk, choices, digests, looks_of(desk.machine), open_numbers(desk.comments), request.user
    )
    context = desk.context(request) | {
        "kinds": titles,
        "kind": kind,
        "lines": lines,
        "seen": sum(line.is_seen for line in lines),
    }
    return render(request, "review/looks.html", context)
