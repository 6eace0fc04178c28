"""One question about requests: is a fragment wanted, or the whole page?"""

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_vary_headers


def wants_fragment(request: HttpRequest) -> bool:
    """Tell whether htmx asks for a part of the page; a boosted link or a history restore wants all of it."""
    htmx = request.htmx
    return bool(htmx) and not htmx.boosted and not htmx.history_restore_request


def varies(response: HttpResponse) -> HttpResponse:
    """Mark a response whose body differs between fragment and page."""
    patch_vary_headers(response, ["HX-Request"])
    return response
