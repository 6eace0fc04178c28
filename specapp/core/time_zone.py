"""The time zone a view switched to ends with its request."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils import timezone


def own_time_zone(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: go back to the installation's time zone after each request."""

    def middleware(request: HttpRequest) -> HttpResponse:
        try:
            return get_response(request)
        finally:
            timezone.deactivate()

    return middleware
