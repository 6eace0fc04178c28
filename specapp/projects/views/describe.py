"""Describing a machine: new, changed, removed. Nothing typed is lost on the way."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.projects.access import Access, machine_or_404, project_or_404
from specapp.projects.deciding.ground import machine_ground, project_ground
from specapp.projects.describing.fields import DESCRIPTION
from specapp.projects.describing.form import DescriptionForm
from specapp.projects.describing.typed import (
    Reading,
    Typed,
    document_of,
    typed_of,
    typed_of_post,
    with_row,
    without_row,
)
from specapp.projects.errors import StaleVersion, TagTaken
from specapp.projects.models import Machine
from specapp.projects.services import machine_create, machine_remove, machine_update
from specapp.projects.worked import Ground, proposal_for

FIRST_PINIONS = 2


def _empty() -> Typed:
    typed: Typed = {}
    for _ in range(FIRST_PINIONS):
        typed = with_row(typed, DESCRIPTION.rows["pinions"])
    return typed


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
    return render(request, "projects/describe.html", context, status=status)


def _rows_changed(post: Any, typed: Typed) -> tuple[Typed, str] | None:
    """Return the contents after "add" or "remove" was pressed, and the row to stand at; None for saving."""
    action, _, target = post.get("do", "").partition(":")
    name, _, number = target.partition("[")
    rows = DESCRIPTION.rows.get(name)
    if action == "add" and rows:
        after = with_row(typed, rows)
        return after, name
    if action == "remove" and rows and number.rstrip("]").isdecimal():
        return without_row(typed, rows, int(number.rstrip("]"))), name
    return None


def _all_problems(reading: Reading, ground: Ground) -> list[Problem]:
    try:
        proposal_for(reading.document, ground)
    except InputErrors as errors:
        return [*reading.problems, *errors.problems]
    return list(reading.problems)


def _tag_taken(tag: str) -> Problem:
    return Problem("tag", shown(tag), "a tag that no other machine of this project has")


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
def machine_new(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    if request.method == "GET":
        kept = take(request)
        typed = typed_of_post(kept) if kept else _empty()
        return _page(request, access, None, DescriptionForm(typed), came_back=bool(kept))
    typed = typed_of_post(request.POST)
    if changed := _rows_changed(request.POST, typed):
        return _page(request, access, None, DescriptionForm(changed[0]), stand_at=changed[1])
    reading = document_of(typed)
    problems = _all_problems(reading, project_ground(access.project.pk)) if reading.problems else []
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
            return redirect("projects:machine-show", access.project.pk, machine.pk)
    return _page(
        request, access, None, DescriptionForm(typed, reading=reading, problems=problems), status=422
    )


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
def machine_edit(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    kept = take(request) if request.method == "GET" else None
    if request.method == "GET" and kept is None:
        return _page(
            request, access, machine, DescriptionForm(typed_of(machine.description)), version=machine.version
        )
    post = kept if kept is not None else request.POST
    typed, version = typed_of_post(post), _version(post)
    if kept is not None:
        return _page(request, access, machine, DescriptionForm(typed), version=version, came_back=True)
    if changed := _rows_changed(post, typed):
        return _page(
            request, access, machine, DescriptionForm(changed[0]), version=version, stand_at=changed[1]
        )
    reading = document_of(typed)
    problems = _all_problems(reading, machine_ground(machine)) if reading.problems else []
    if not problems:
        try:
            machine_update(
                machine=machine,
                description=reading.document,
                expected_version=version,
                author=request.user,
                now=timezone.now(),
            )
        except InputErrors as errors:
            problems = list(errors.problems)
        except TagTaken as taken:
            problems = [_tag_taken(taken.tag)]
        except StaleVersion as stale:
            form = DescriptionForm(typed, theirs=typed_of(stale.machine.description))
            extra = {"version": stale.machine.version, "stale": stale.machine}
            return _page(request, access, stale.machine, form, status=409, **extra)
        else:
            messages.success(request, "Saved. The proposal below follows the changed description.")
            return redirect("projects:machine-show", access.project.pk, machine.pk)
    form = DescriptionForm(typed, reading=reading, problems=problems)
    return _page(request, access, machine, form, status=422, version=version)


def _version(post: Any) -> int:
    text = post.get("version", "")
    return int(text) if text.isdecimal() and len(text) < 10 else 0


@require_http_methods(["GET", "HEAD", "POST"])
def machine_remove_confirm(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.EDIT_MACHINE)
    if request.method == "POST":
        machine_remove(machine=machine, author=request.user, now=timezone.now())
        messages.success(request, f"{machine.tag} is removed. Its description stays in the record.")
        return redirect("projects:project-show", access.project.pk)
    return render(
        request,
        "projects/machine_remove.html",
        {"access": access, "project": access.project, "machine": machine},
    )
