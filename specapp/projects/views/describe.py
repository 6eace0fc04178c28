"""Describing a machine: new, changed, removed. Nothing typed is lost on the way.

Every look at what would change, every row added or moved and every refused save also keeps what is typed, so
that going back, reloading or signing in again finds it.
"""

from functools import lru_cache
from typing import Any

import msgspec
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core import display as display_choice
from specapp.core.htmx import varies, wants_fragment
from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.posted import posted
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.projects.access import Access, machine_or_404, project_or_404
from specapp.projects.deciding.drafts import draft_forget, draft_keep, draft_of
from specapp.projects.describing.fields import DESCRIPTION
from specapp.projects.describing.form import DescriptionForm
from specapp.projects.describing.typed import (
    Typed,
    document_of,
    pinions_were,
    typed_of,
    typed_of_post,
    with_row,
    with_row_moved_up,
    without_row,
)
from specapp.projects.errors import MachineKept, StaleVersion, TagTaken
from specapp.projects.models import Machine
from specapp.projects.presenting.header import chosen_display
from specapp.projects.services import machine_create, machine_remove, machine_update
from specapp.projects.views.what_if import ground_of, panel_of, problems_of

FIRST_PINIONS = 2
SHOW, FORGET = "show", "forget"


def _empty() -> Typed:
    typed: Typed = {}
    for _ in range(FIRST_PINIONS):
        typed = with_row(typed, DESCRIPTION.rows["pinions"])
    return typed


def _typed_saved(machine: Machine) -> Typed:
    """Return the contents of the form for a machine as it is saved: each look at a change asks it."""
    return dict(_typed_once(msgspec.json.encode(machine.description)))


@lru_cache(maxsize=32)
def _typed_once(description: bytes) -> Typed:
    return typed_of(msgspec.json.decode(description))


def _page(
    request: HttpRequest,
    access: Access,
    machine: Machine | None,
    form: DescriptionForm,
    *,
    status: int = 200,
    **extra: Any,
) -> HttpResponse:
    context = {"access": access, "project": access.project, "machine": machine, "form": form, **extra}
    return varies(render(request, "projects/describe.html", context, status=status))


def _rows_changed(post: Any, typed: Typed) -> tuple[Typed, str] | None:
    """Return the contents after a row was added, removed or moved, and the rows to stand at; else None."""
    action, _, target = post.get("do", "").partition(":")
    name, _, rest = target.partition("[")
    rows, number = DESCRIPTION.rows.get(name), rest.rstrip("]")
    if action == "add" and rows:
        return with_row(typed, rows), name
    if not rows or not number.isdecimal() or len(number) > 4:
        return None
    if action == "remove":
        return without_row(typed, rows, int(number)), name
    if action == "up":
        return with_row_moved_up(typed, rows, int(number)), name
    return None


def _keep(request: HttpRequest, access: Access, machine: Machine | None, typed: Typed, version: int) -> None:
    draft_keep(
        project=access.project,
        machine=machine,
        person=request.user,
        typed=typed,
        version=version,
        now=timezone.now(),
    )


def _rows_answer(
    request: HttpRequest, access: Access, machine: Machine | None, changed: tuple[Typed, str], version: int
) -> HttpResponse:
    typed, stand_at = changed
    _keep(request, access, machine, typed, version)
    response = _page(request, access, machine, DescriptionForm(typed), version=version, stand_at=stand_at)
    response.headers["HX-Trigger"] = "rows-changed"
    return response


def _tag_taken(tag: str) -> Problem:
    return Problem("tag", shown(tag), "a tag that no other machine of this project has")


def _shown_changes(
    request: HttpRequest, access: Access, machine: Machine | None, typed: Typed, version: int
) -> HttpResponse:
    """Keep what is typed and show what it would change, beside the form or as that part alone."""
    is_kept = machine is None or typed != _typed_saved(machine)
    if is_kept:
        _keep(request, access, machine, typed, version)
    else:
        draft_forget(project=access.project, machine=machine, person=request.user)
    display = chosen_display(display_choice.switch(request))
    panel = panel_of(access, machine, typed, document_of(typed), display)
    if wants_fragment(request):
        context = {"panel": panel, "project": access.project, "machine": machine, "kept_now": is_kept}
        return varies(render(request, "projects/describe.html#changes", context))
    return _page(
        request, access, machine, DescriptionForm(typed), version=version, panel=panel, kept_now=is_kept
    )


def _opened(request: HttpRequest, access: Access, machine: Machine | None) -> HttpResponse:
    """Show the form as it was left: interrupted by a sign-in, typed and not saved, or as stored."""
    saved = _typed_saved(machine) if machine else _empty()
    extra: dict[str, Any] = {"version": machine.version if machine else 0, "came_back": False}
    theirs = None
    if kept := take(request):
        typed, extra = typed_of_post(kept), {"version": version_in(kept), "came_back": True}
        _keep(request, access, machine, typed, extra["version"])
    elif draft := draft_of(project=access.project, machine=machine, person=request.user):
        typed = draft.typed
        extra["draft"] = draft
        if machine is not None and draft.version != machine.version:
            theirs, extra["stale"] = saved, machine
    else:
        typed = saved
    reading = document_of(typed)
    if machine is not None or "draft" in extra:
        display = chosen_display(display_choice.switch(request))
        extra["panel"] = panel_of(access, machine, typed, reading, display)
    return _page(request, access, machine, DescriptionForm(typed, theirs=theirs), **extra)


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
def machine_new(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    if request.method != "POST":
        return _opened(request, access, None)
    post = posted(request)
    if post.get("do") == FORGET:
        draft_forget(project=access.project, machine=None, person=request.user)
        return redirect("projects:machine-new", access.project.pk)
    typed = typed_of_post(post)
    if changed := _rows_changed(post, typed):
        return _rows_answer(request, access, None, changed, 0)
    if post.get("do") == SHOW:
        return _shown_changes(request, access, None, typed, 0)
    reading = document_of(typed)
    problems = problems_of(reading, ground_of(access, None)) if reading.problems else []
    if not problems:
        try:
            machine = machine_create(
                project=access.project, description=reading.document, author=request.user, now=timezone.now()
            )
        except InputErrors as errors:
            problems = list(errors.problems)
        except TagTaken as taken:
            problems = [_tag_taken(taken.tag)]
        else:
            draft_forget(project=access.project, machine=None, person=request.user)
            return redirect("projects:machine-show", access.project.pk, machine.pk)
    _keep(request, access, None, typed, 0)
    return _page(
        request, access, None, DescriptionForm(typed, reading=reading, problems=problems), status=422
    )


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
def machine_edit(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    if request.method != "POST":
        return _opened(request, access, machine)
    post = posted(request)
    if post.get("do") == FORGET:
        draft_forget(project=access.project, machine=machine, person=request.user)
        return redirect("projects:machine-edit", access.project.pk, machine.pk)
    typed, version = typed_of_post(post), version_in(post)
    if changed := _rows_changed(post, typed):
        return _rows_answer(request, access, machine, changed, version)
    if post.get("do") == SHOW:
        return _shown_changes(request, access, machine, typed, version)
    reading = document_of(typed)
    problems = problems_of(reading, ground_of(access, machine)) if reading.problems else []
    if not problems:
        try:
            machine_update(
                machine=machine,
                description=reading.document,
                expected_version=version,
                author=request.user,
                now=timezone.now(),
                pinions_were=pinions_were(typed, reading),
            )
        except InputErrors as errors:
            problems = list(errors.problems)
        except TagTaken as taken:
            problems = [_tag_taken(taken.tag)]
        except StaleVersion as stale:
            _keep(request, access, machine, typed, version)
            form = DescriptionForm(typed, theirs=typed_of(stale.machine.description))
            extra = {"version": stale.machine.version, "stale": stale.machine}
            return _page(request, access, stale.machine, form, status=409, **extra)
        else:
            draft_forget(project=access.project, machine=machine, person=request.user)
            messages.success(request, "Saved. The proposal below follows the changed description.")
            return redirect("projects:machine-show", access.project.pk, machine.pk)
    _keep(request, access, machine, typed, version)
    form = DescriptionForm(typed, reading=reading, problems=problems)
    return _page(request, access, machine, form, status=422, version=version)


@require_http_methods(["GET", "HEAD", "POST"])
def machine_remove_confirm(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    if request.method == "POST":
        try:
            machine_remove(machine=machine, author=request.user, now=timezone.now())
        except MachineKept:
            messages.error(
                request, f"{machine.tag} stays: something frozen, issued, commented or on hold rests on it."
            )
            return redirect("projects:machine-show", access.project.pk, machine.pk)
        messages.success(request, f"{machine.tag} is removed. Its description stays in the record.")
        return redirect("projects:project-show", access.project.pk)
    return render(
        request,
        "projects/machine_remove.html",
        {"access": access, "project": access.project, "machine": machine},
    )
