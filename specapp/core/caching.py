"""Pages belong to the person who asked for them."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


def private_pages(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: no shared cache keeps a page, and the browser asks again before it shows one anew."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Cache-Control", "private, no-cache")
        return response

    return middleware
