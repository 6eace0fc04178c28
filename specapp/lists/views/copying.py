"""Starting machines from earlier ones: of the same project (a duplicate) or of another."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.core.roles import Right
from specapp.domain.problems import InputErrors
from specapp.lists.errors import NothingChosen, TagsTaken
from specapp.lists.selectors import machines_of, readable_projects
from specapp.lists.services import machines_copy
from specapp.projects.access import Access, project_or_404
from specapp.projects.models import Machine, Project

_LONGEST_TAG = 80


@require_http_methods(["GET", "HEAD", "POST"])
def machine_copy(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.EDIT_MACHINE)
    projects = readable_projects(request.user)
    source = _source(request, projects, access.project)
    machines = machines_of([source])
    if request.method != "POST":
        only = request.GET.get("machine", "")
        return _page(request, access, projects, source, machines, {only} if only else set())
    ticked = set(request.POST.getlist("machine"))
    chosen = [
        (machine, request.POST.get(f"tag-{machine.pk}", "")[:_LONGEST_TAG].strip())
        for machine in machines
        if str(machine.pk) in ticked
    ]
    try:
        added = machines_copy(
            project=access.project,
            sources=chosen,
            with_overrides="overrides" in request.POST,
            author=request.user,
            now=timezone.now(),
        )
    except NothingChosen:
        problems = ["Tick the machines to start from."]
    except TagsTaken as taken:
        problems = [f"{access.project} has a machine of this tag, or it is wanted twice: {taken}."]
    except InputErrors as errors:
        problems = [problem.line() for problem in errors.problems]
    else:
        messages.success(request, f"Started: {', '.join(machine.tag for machine in added)}.")
        if len(added) == 1:
            return redirect("projects:machine-edit", access.project.pk, added[0].pk)
        return redirect("projects:project-show", access.project.pk)
    return _page(request, access, projects, source, machines, ticked, problems=problems, status=422)


def _source(request: HttpRequest, projects: list[Project], own: Project) -> Project:
    """Return the project to start from: the one asked for, if the person may read it."""
    asked = request.POST.get("from", request.GET.get("from", str(own.pk)))
    found = next((project for project in projects if str(project.pk) == asked), None)
    if found is None:
        raise Http404
    return found


def _page(
    request: HttpRequest,
    access: Access,
    projects: list[Project],
    source: Project,
    machines: list[Machine],
    ticked: set[str],
    *,
    problems: Any = (),
    status: int = 200,
) -> HttpResponse:
    same = source == access.project
    rows = [
        (
            machine,
            request.POST.get(f"tag-{machine.pk}", f"{machine.tag} copy" if same else machine.tag),
            str(machine.pk) in ticked,
        )
        for machine in machines
    ]
    context = {
        "access": access,
        "project": access.project,
        "projects": projects,
        "source": source,
        "rows": rows,
        "problems": problems,
        "with_overrides": "overrides" in request.POST,
    }
    return render(request, "lists/copy.html", context, status=status)
