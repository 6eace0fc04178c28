"""A character that no keyboard types and some databases cannot hold is refused at the door."""

from collections.abc import Callable
from typing import Any

from django.core.exceptions import SuspiciousOperation
from django.http import HttpRequest, HttpResponse

from specapp.core.limits import is_for_programs
from specapp.core.posted import NULL


class NullCharactersMiddleware:
    """Answer 400 where an address, a query or a form holds a null character; no page ever sends one."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable, args: Any, kwargs: Any) -> None:
        if is_for_programs(request):  # its types refuse such a text by its field
            return
        is_form = request.content_type in ("application/x-www-form-urlencoded", "multipart/form-data")
        told = [request.path, *_texts(request.GET), *(_texts(request.POST) if is_form else ())]
        if NULL in "".join(told):
            raise SuspiciousOperation("A null character.")


def _texts(query: Any) -> list[str]:
    return [text for name, values in query.lists() for text in (name, *values)]
