"""Joining a project by a link, with an account that is there or one made on the way."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.db import IntegrityError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from specapp.core.links import link_find
from specapp.core.people import LinkClosed
from specapp.core.people_forms import NewAccount
from specapp.core.roles import Right, Role
from specapp.core.sign_in import browser_remember
from specapp.projects.access import rights_in
from specapp.projects.inviting import (
    AlreadyMember,
    invitation_accept,
    invitation_accept_anew,
    invitation_is_open,
)
from specapp.projects.models import Invitation


@login_not_required
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest, token: str) -> HttpResponse:
    """Let somebody in by a link. Looking at the page uses nothing up: mail programs look at links, too."""
    invitation = link_find(Invitation.objects.select_related("project", "made_by"), token)
    if invitation is None:
        raise Http404
    if not invitation_is_open(invitation, timezone.now()):
        return _closed(request)
    if request.method != "POST":
        form = None if request.user.is_authenticated else NewAccount()
        return _page(request, invitation, form)
    try:
        return _joined(request, invitation)
    except LinkClosed:
        return _closed(request)
    except AlreadyMember as held:
        what = (
            f"You are {held.membership.get_role_display()} of this project already; the link is not used up."
        )
        messages.error(request, what)
        return redirect("projects:project-list")


def _joined(request: HttpRequest, invitation: Invitation) -> HttpResponse:
    now = timezone.now()
    if request.user.is_authenticated:
        invitation_accept(invitation=invitation, person=request.user, now=now)
        return _to_project(request, invitation)
    form = NewAccount(request.POST)
    if not form.is_valid():
        return _page(request, invitation, form, status=422)
    told = form.cleaned_data
    try:
        person = invitation_accept_anew(
            invitation=invitation,
            username=told["username"],
            name=told["name"],
            email=told["email"],
            password=told["new_password"],
            now=now,
        )
    except IntegrityError:  # somebody else took the name or the address a moment ago
        form.add_error("username", "Someone else has just taken this user name or address.")
        return _page(request, invitation, form, status=422)
    login(request, person, backend=settings.AUTHENTICATION_BACKENDS[0])
    response = _to_project(request, invitation)
    browser_remember(request, response, person)
    return response


def _to_project(request: HttpRequest, invitation: Invitation) -> HttpResponse:
    messages.success(request, f"You are {invitation.get_role_display()} of {invitation.project}.")
    if Right.READ_DRAFT in rights_in(invitation.project, Role(invitation.role)):
        return redirect("projects:project-show", invitation.project_id)
    return redirect("projects:project-list")


def _page(
    request: HttpRequest, invitation: Invitation, form: NewAccount | None, status: int = 200
) -> HttpResponse:
    context = {"invitation": invitation, "form": form}
    return render(request, "projects/join.html", context, status=status)


def _closed(request: HttpRequest) -> HttpResponse:
    context = {
        "title": "This invitation is closed",
        "what": "It was used, withdrawn or has expired: an invitation is good once, and for two weeks.",
        "then": "Ask for a new one where you got this one.",
    }
    return render(request, "core/problem.html", context, status=410)
