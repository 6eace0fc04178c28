"""Two machines beside each other, and why they differ."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors
from specapp.lists.comparing import comparison_page
from specapp.lists.selectors import machines_of, readable_projects
from specapp.projects.access import project_or_404
from specapp.projects.deciding.ground import machine_proposal

_MOST_OFFERED = 1000


@require_safe
def machine_compare(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    # Drawn from the reader's own projects only: any other number is not found.
    offered = machines_of(readable_projects(request.user))
    chosen = [request.GET.get(name, "") for name in ("first", "second")]
    context = {
        "access": access,
        "project": access.project,
        "offered": offered[:_MOST_OFFERED],
        "chosen": chosen,
        "page": None,
        "problems": [],
    }
    lists = {}
    if all(chosen):
        by_id = {str(machine.pk): machine for machine in offered}
        if any(name not in by_id for name in chosen):
            raise Http404
        first, second = (by_id[name] for name in chosen)
        context |= {"first": first, "second": second}
        try:
            proposals = machine_proposal(first), machine_proposal(second)
        except InputErrors as errors:
            context["problems"] = errors.problems
        else:
            names = (first.tag, second.tag)
            if names[0] == names[1]:
                names = (f"{first.tag} of {first.project}", f"{second.tag} of {second.project}")
            context["page"] = comparison_page(*proposals, names, request.GET.get("item", ""))
            context["names"] = names
            lists["differences"] = context["page"].differences.schedule
    if file := list_file(request, "_".join(context.get("names", ())), lists):
        return file
    return render(request, "lists/compare.html", context)
