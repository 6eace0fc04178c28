"""Keeping in mind which points somebody has opened, for the lists of the sign-off page."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from specapp.projects.models import Machine
from specapp.revisions.models import PointOpened

_POINT_PAGE = "projects:point-show"


def points_opened(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: remember who opened the sheet of a point, once at each version of its machine."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        match = request.resolver_match
        if match is not None and match.view_name == _POINT_PAGE and response.status_code == 200:
            _remember(request, match.kwargs["machine_id"], match.kwargs["key"])
        return response

    return middleware


def _remember(request: HttpRequest, machine_id: int, key: str) -> None:
    version = Machine.objects.filter(pk=machine_id).values_list("version", flat=True).first()
    row = {"machine_id": machine_id, "machine_version": version, "key": key, "person": request.user}
    if version is not None and not PointOpened.objects.filter(**row).exists():
        # Two requests at once may both come here; one row is enough.
        PointOpened.objects.bulk_create([PointOpened(opened_at=timezone.now(), **row)], ignore_conflicts=True)
