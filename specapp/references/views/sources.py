"""The sources of a machine's description: where each value comes from, entered for a whole sitting."""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core import display as display_choice
from specapp.core.form_problems import add_problems, sentence
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.domain.problems import InputErrors, Problem
from specapp.domain.problems import shown as shown_text
from specapp.domain.proposal import Proposal
from specapp.projects.access import Access, machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.errors import StaleVersion, TagTaken
from specapp.projects.models import Machine
from specapp.projects.presenting.header import machine_context
from specapp.projects.views.unreadable import shows_problems
from specapp.references.errors import NothingChosen
from specapp.references.forms import OriginForm
from specapp.references.presenting.sources import SHOWN, source_groups, sources_schedule
from specapp.references.selectors import register_of, sitting_of
from specapp.references.sourcing import (
    changed_since,
    field_name,
    field_names,
    sitting_end,
    sources_remove,
    values_enter,
)

LONGEST_VALUE = 4000
ENTER, REMOVE, END = "enter", "remove", "end"


@dataclass(frozen=True, slots=True)
class Posted:
    """What was typed and ticked, by field."""

    values: dict[str, str]
    pages: dict[str, str]
    ticked: set[str]
    version: int


def _posted(request: HttpRequest, machine: Machine) -> Posted:
    names = set(field_names(machine.description))
    post = request.POST

    def typed(prefix: str) -> dict[str, str]:
        return {
            name: post[f"{prefix}-{name}"].strip()[:LONGEST_VALUE]
            for name in names
            if post.get(f"{prefix}-{name}", "").strip()
        }

    return Posted(typed("value"), typed("page"), names & set(post.getlist("from")), version_in(post))


@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def source_list(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    """Every field with its value and source; posted, values and sources from one document."""
    right = Right.EDIT_MACHINE if request.method == "POST" else Right.READ_DRAFT
    access, machine = machine_or_404(request, project_id, machine_id, right)
    proposal = machine_proposal(machine)
    if request.method != "POST":
        return _page(request, access, machine, proposal, _first_form(request, machine))
    if request.POST.get("do") == END:
        sitting_end(machine=machine, person=request.user)
        messages.success(request, "What you enter next has no source until you name one.")
        return redirect("references:source-list", access.project.pk, machine.pk)
    posted, form = _posted(request, machine), OriginForm(request.POST)
    status, problems = 422, []
    if request.POST.get("do") == REMOVE or form.is_valid():
        try:
            told = _saved(request, machine, posted, form)
        except NothingChosen:
            form.add_error(None, "Type a value, or tick a field that has one.")
        except StaleVersion as stale:
            status, machine = 409, stale.machine
            form.add_error(None, f"{machine.updated_by} saved this machine meanwhile; save yours again.")
            proposal = machine_proposal(machine)
        except TagTaken as taken:
            allowed = "a tag that no other machine of this project has"
            problems = [Problem("tag", shown_text(taken.tag), allowed)]
        except InputErrors as errors:
            problems = list(errors.problems)
        else:
            messages.success(request, told)
            return redirect("references:source-list", access.project.pk, machine.pk)
    return _page(request, access, machine, proposal, form, posted, problems, status)


def _saved(request: HttpRequest, machine: Machine, posted: Posted, form: OriginForm) -> str:
    common = {
        "machine": machine,
        "expected_version": posted.version,
        "author": request.user,
        "now": timezone.now(),
    }
    if request.POST.get("do") == REMOVE:
        sources_remove(names=posted.ticked, **common)
        return "The sources are taken off the fields ticked."
    values_enter(
        values=posted.values, ticked=posted.ticked, pages=posted.pages, origin=form.origin(), **common
    )
    return f"Saved from {form.origin().document}. What you enter next is taken from there too."


def _first_form(request: HttpRequest, machine: Machine) -> OriginForm:
    sitting = sitting_of(machine, request.user)
    if sitting is None:
        return OriginForm()
    told = ("document", "revision", "page", "state")
    return OriginForm(initial={name: getattr(sitting, name) for name in told})


def _page(
    request: HttpRequest,
    access: Access,
    machine: Machine,
    proposal: Proposal,
    form: OriginForm,
    posted: Posted | None = None,
    problems: list[Problem] | None = None,
    status: int = 200,
) -> HttpResponse:
    shown = request.GET.get("show", "all")
    names = set(field_names(machine.description))
    at_field = {
        field_name(each.path): sentence(each) for each in problems or () if field_name(each.path) in names
    }
    if problems:
        if not form.is_bound:
            form = OriginForm(request.POST)
        add_problems(form, [each for each in problems if field_name(each.path) not in at_field])
    sitting = sitting_of(machine, request.user)
    ticked = posted.ticked if posted else changed_since(sitting) if sitting else set()
    register = register_of(access.project, machine)
    groups = source_groups(
        machine.description,
        register,
        shown if shown in SHOWN else "all",
        typed=posted.values if posted else {},
        pages=posted.pages if posted else {},
        ticked=ticked,
        problems=at_field,
        is_new_tick=posted is None,
    )
    if file := list_file(request, machine.tag, {"sources": lambda: sources_schedule(groups)}):
        return file
    context: dict[str, Any] = machine_context(access, machine, proposal, display_choice.AS_SET)
    context |= {
        "form": form,
        "sitting": sitting,
        "register": register,
        "groups": groups,
        "shown": shown,
        "choices": SHOWN,
    }
    return render(request, "references/sources.html", context, status=status)
