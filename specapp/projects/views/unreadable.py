"""A stored description that the present rules no longer accept is shown with its problems, not as a fault."""

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from specapp.core.roles import Right
from specapp.domain.problems import InputErrors
from specapp.projects.access import machine_or_404

View = Callable[..., HttpResponse]


def shows_problems(view: View) -> View:
    """Answer a machine's page with what is wrong with its description where no proposal can be made of it."""

    @wraps(view)
    def answer(request: HttpRequest, project_id: int, machine_id: int, **more: str) -> HttpResponse:
        try:
            return view(request, project_id, machine_id, **more)
        except InputErrors as errors:
            access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
            context = {
                "access": access,
                "project": access.project,
                "machine": machine,
                "problems": errors.problems,
            }
            return render(request, "projects/unreadable.html", context, status=409)

    return answer
