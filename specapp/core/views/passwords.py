"""Passwords without the old one: asking for a link, and setting one by it."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from specapp.core.limits import Limit, client_address, refused, window_count, window_wait
from specapp.core.links import link_find, link_is_open, link_token
from specapp.core.mail.sending import password_link_mail
from specapp.core.models import PasswordLink
from specapp.core.people import LinkClosed, password_link_make, password_link_use
from specapp.core.people_forms import ForgottenForm, NewPassword
from specapp.core.sign_in import person_named

_ASKED_FROM_PLACE = Limit(10, 3600)
_ASKED_FOR_NAME = Limit(3, 3600)


@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
def password_forgotten(request: HttpRequest) -> HttpResponse:
    """Mail a link where mail is set up; the answer is the same for a name that nobody has."""
    has_mail = settings.HAS_MAIL
    form = ForgottenForm(request.POST if request.method == "POST" and has_mail else None)
    if not form.is_valid():
        status = 422 if request.method == "POST" else 200
        return render(request, "core/forgotten.html", {"form": form, "has_mail": has_mail}, status=status)
    now, place = timezone.now(), client_address(request)
    if wait := window_wait(_ASKED_FROM_PLACE, now, "forgotten", "place", place):
        return refused(request, wait)
    window_count(_ASKED_FROM_PLACE, now, "forgotten", "place", place)
    person = person_named(form.cleaned_data["person"])
    if person is not None and person.is_active and person.email:
        asked = window_count(_ASKED_FOR_NAME, now, "forgotten", "name", person.pk)
        if asked <= _ASKED_FOR_NAME.count:
            link = password_link_make(person=person, author=None, now=now, by_mail=True)
            password_link_mail(person, link_token(link))
    return render(request, "core/forgotten.html", {"is_asked": True, "has_mail": True})


@login_not_required
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password_by_link(request: HttpRequest, token: str) -> HttpResponse:
    """Set a password by a link. Looking at the page uses nothing up: mail programs look at links, too."""
    link = link_find(PasswordLink.objects.select_related("person", "made_by"), token)
    if link is None:
        raise Http404
    now = timezone.now()
    if not link_is_open(link, now) or not link.person.is_active:
        return _closed(request)
    form = NewPassword(request.POST or None, person=link.person)
    if request.method == "POST" and form.is_valid():
        try:
            password_link_use(link=link, password=form.cleaned_data["new_password"], now=now)
        except LinkClosed:
            return _closed(request)
        messages.success(request, "The password is set. Sign in with it.")
        return redirect("core:sign-in")
    context = {"form": form, "person": link.person, "link": link}
    return render(
        request, "core/password_link.html", context, status=422 if request.method == "POST" else 200
    )


def _closed(request: HttpRequest) -> HttpResponse:
    context = {
        "title": "This link is closed",
        "what": "It was used, withdrawn or has expired: a link is good once, and for a day.",
        "then": "Ask for a new one where you got this one.",
    }
    return render(request, "core/problem.html", context, status=410)
