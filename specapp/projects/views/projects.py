"""The list of projects, and one project with its machines and members."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.projects.access import project_or_404
from specapp.projects.presenting.projects import machines_table, members_table, projects_table
from specapp.projects.project_forms import ProjectForm
from specapp.projects.selectors import all_machines, project_machines, project_members, user_projects
from specapp.projects.services import project_create, project_update


@require_safe
def project_list(request: HttpRequest) -> HttpResponse:
    table = projects_table(user_projects(request.user))
    if file := list_file(request, "", {"projects": table.schedule}):
        return file
    return render(request, "projects/project_list.html", {"table": table})


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
def project_new(request: HttpRequest) -> HttpResponse:
    if not request.user.can_start_projects:
        raise PermissionDenied("You may not start projects. Whoever runs this installation can allow it.")
    form = ProjectForm(request.POST or (take(request) if request.method == "GET" else None))
    if request.method == "POST" and form.is_valid():
        project = project_create(author=request.user, now=timezone.now(), fields=form.values())
        return redirect("projects:project-show", project.pk)
    return render(request, "projects/project_form.html", {"form": form}, status=422 if request.POST else 200)


@require_safe
def project_show(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    project = access.project
    members = members_table(project_members(project))
    lists = {
        "machines": lambda: machines_table(all_machines(project), project.pk).schedule(),
        "members": members.schedule,
    }
    if file := list_file(request, project.file_name, lists):
        return file
    machines, page = project_machines(project, request.GET.get("page", ""))
    context = {
        "access": access,
        "project": project,
        "machines": machines_table(machines, project.pk),
        "page": page,
        "members": members,
    }
    return render(request, "projects/project.html", context)


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
def project_edit(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.MANAGE_PROJECT)
    kept = take(request) if request.method == "GET" else None
    form = ProjectForm(request.POST or kept, instance=access.project)
    if request.method == "POST" and form.is_valid():
        values = form.values()
        access.project.refresh_from_db()
        project_update(project=access.project, author=request.user, now=timezone.now(), fields=values)
        messages.success(request, "Saved.")
        return redirect("projects:project-show", access.project.pk)
    context = {"access": access, "project": access.project, "form": form}
    return render(request, "projects/project_form.html", context, status=422 if request.POST else 200)
