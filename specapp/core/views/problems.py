"""The pages that say what went wrong."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from specapp.core.refusals import refusal_record


def _problem(request: HttpRequest, status: int, title: str, what: str, then: str) -> HttpResponse:
    context = {"title": title, "what": what, "then": then}
    return render(request, "core/problem.html", context, status=status)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _problem(
        request,
        400,
        "This request could not be read",
        "The browser sent something that no form of these pages sends.",
        "Go back, reload the page and try again.",
    )


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    refusal_record(request)
    what = str(exception) or "Your role in this project does not include this."
    return _problem(request, 403, "Not with your role", what, "An owner of the project can change your role.")


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return _problem(
        request,
        404,
        "Nothing here",
        "There is no such page, or it belongs to a project of which you are not a member.",
        "Start from the list of projects.",
    )


def server_error(request: HttpRequest) -> HttpResponse:
    return _problem(
        request,
        500,
        "A fault of this program",
        "What you asked for could not be done. Nothing was saved by this step.",
        "Go back: what you typed is still in the form. The fault is in the server's log.",
    )


@login_not_required
def csrf_failure(request: HttpRequest, reason: str = "") -> HttpResponse:
    return _problem(
        request,
        403,
        "This form is too old",
        "The page was opened before you signed in or out in another window; its safety mark no longer fits.",
        "Go back, copy what you typed if the form asks for it again, and reload the page.",
    )
