"""The time zone a view switches to: how it says a moment, and that it ends with the request."""

from collections.abc import Callable
from datetime import datetime

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


def moment_text(moment: datetime) -> str:
    """Return a moment as pages and files say it, in the time zone of the request: 2026-03-31 14:30."""
    return f"{timezone.localtime(moment):%Y-%m-%d %H:%M}"
