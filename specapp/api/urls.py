"""Pages about tokens and the interface, and the interface itself.

Programs sign in by their token, not by a session: the pages' sign-in does not stand before them.
"""

from collections.abc import Callable, Iterable
from functools import wraps
from http import HTTPStatus

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.urls import URLPattern, path, re_path
from django.utils import timezone
from django.views.decorators.http import require_safe

from specapp.api import views
from specapp.api.answers import nothing_here, wrong_method
from specapp.api.interface import ROOT, interface
from specapp.api.models import ApiToken
from specapp.core.audit import entry_append


def _answers_head(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Answer HEAD as GET: the same status and headers, the length of the same body, and no body."""

    @wraps(view)
    def answer(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        if request.method != "HEAD":
            return view(request, *args, **kwargs)
        request.method = "GET"
        try:
            response = view(request, *args, **kwargs)
        finally:
            # Whatever comes after, such as the record of downloads, is told what was asked.
            request.method = "HEAD"
        if response.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
            response = wrong_method(request, response.headers["Allow"])
        response.headers.setdefault("Content-Length", str(len(response.content)))
        response.content = b""
        return response

    return answer


def _recorded(view: Callable[..., HttpResponse]) -> Callable[..., HttpResponse]:
    """Record by which token something was changed, and tell a wrong method as every other refusal."""

    @wraps(view)
    def answer(request: HttpRequest, *args: object, **kwargs: object) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if response.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
            return wrong_method(request, response.headers["Allow"])
        by = getattr(request, "auth", None)
        if isinstance(by, ApiToken) and request.method in ("POST", "PUT") and response.status_code < 400:
            entry_append(
                author=by.person,
                action="token.use",
                subject=by,
                now=timezone.now(),
                project_id=by.project_id,
                data={"method": request.method, "address": request.resolver_match.view_name},
            )
        return response

    return answer


def _for_programs(patterns: Iterable[URLPattern]) -> list[URLPattern]:
    kept = [each for each in patterns if each.name != "api-root"]
    for each in kept:
        if each.name == "openapi-json":
            each.callback = require_safe(each.callback)
        each.callback = login_not_required(_answers_head(_recorded(each.callback)))
    return kept


@login_not_required
def _nothing(request: HttpRequest) -> HttpResponse:
    return nothing_here(request)


_nothing.csrf_exempt = True
_patterns, _, _namespace = interface.urls

app_name = "api"
urlpatterns = [
    path("api/", views.interface_show, name="interface-show"),
    path(f"{ROOT}/", (_for_programs(_patterns), "interface", _namespace)),
    re_path(r"^api/.+$", _nothing, name="nothing"),
    path("projects/<id:project_id>/tokens/", views.token_list, name="token-list"),
    path(
        "projects/<id:project_id>/tokens/<id:token_id>/withdraw/",
        views.token_withdrawn,
        name="token-withdraw",
    ),
]
