"""What a request is about, under the rules of the pages and within the token's own project."""

from django.http import Http404, HttpRequest

from specapp.core.roles import Right
from specapp.projects.access import Access, machine_or_404, project_or_404
from specapp.projects.models import Machine
from specapp.review.views.common import Desk, desk_of
from specapp.revisions.access import revision_or_404
from specapp.revisions.models import Revision


def _within(request: HttpRequest, project_id: int) -> None:
    if request.auth.project_id != project_id:
        raise Http404


def project_of(request: HttpRequest, project_id: int, right: Right) -> Access:
    """Return the project; raises `Http404` for another than the token's, `PermissionDenied` as pages do."""
    _within(request, project_id)
    return project_or_404(request, project_id, right)


def machine_of(
    request: HttpRequest, project_id: int, machine_id: int, right: Right
) -> tuple[Access, Machine]:
    _within(request, project_id)
    access, machine = machine_or_404(request, project_id, machine_id, right)
    machine.project = access.project
    return access, machine


def revision_of(request: HttpRequest, project_id: int, machine_id: int, revision_id: int) -> Revision:
    _within(request, project_id)
    return revision_or_404(request, project_id, machine_id, revision_id, Right.READ_DRAFT)[2]


def review_of(request: HttpRequest, project_id: int, machine_id: int, right: Right) -> Desk:
    _within(request, project_id)
    return desk_of(request, project_id, machine_id, right)
