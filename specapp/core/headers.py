"""What the browser may do with a page, beside the content policy: nothing for other sites, no devices."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

_HEADERS = {
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}


def closed_to_others(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: add the headers of this installation's pages to every answer."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        for name, value in _HEADERS.items():
            response.headers.setdefault(name, value)
        return response

    return middleware
