"""A person's own account: what is said of him or her, the password, the sessions."""

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from specapp.core.limits import Limit, refused, window_count, window_wait
from specapp.core.people import account_change, password_changed_by_owner, sessions_end
from specapp.core.people_forms import AccountForm, ChangePassword
from specapp.core.people_selectors import password_history

_TRIES_AT_OWN_PASSWORD = Limit(10, 15 * 60)


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def account(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        return _account_page(request, _account_form(request))
    if wait := _password_wait(request):
        return refused(request, wait)
    form = _account_form(request, request.POST)
    if not form.is_valid():
        _password_tried(request, form)
        return _account_page(request, form, status=422)
    account_change(person=request.user, now=timezone.now(), fields=form.cleaned_data)
    messages.success(request, "Saved.")
    return redirect("core:account")


def _account_form(request: HttpRequest, typed=None) -> AccountForm:
    return AccountForm(typed, person=request.user, has_mail=settings.HAS_MAIL)


def _account_page(request: HttpRequest, form: AccountForm, status: int = 200) -> HttpResponse:
    context = {"form": form, "password": password_history(request.user), "has_mail": settings.HAS_MAIL}
    return render(request, "core/account.html", context, status=status)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password_change(request: HttpRequest) -> HttpResponse:
    if request.method == "POST" and (wait := _password_wait(request)):
        return refused(request, wait)
    form = ChangePassword(request.POST or None, person=request.user)
    if request.method == "POST" and form.is_valid():
        person = request.user
        password_changed_by_owner(
            person=person, password=form.cleaned_data["new_password"], now=timezone.now()
        )
        # This session goes on, under a new key; the others of this person are over.
        update_session_auth_hash(request, person)
        messages.success(request, "Your password is changed. You are signed out everywhere else.")
        return redirect("core:account")
    _password_tried(request, form)
    status = 422 if request.method == "POST" else 200
    return render(request, "core/password.html", {"form": form}, status=status)


@require_POST
def sessions_end_others(request: HttpRequest) -> HttpResponse:
    person = sessions_end(person=request.user, author=request.user, now=timezone.now())
    update_session_auth_hash(request, person)
    messages.success(request, "You are signed out everywhere but here.")
    return redirect("core:account")


def _password_wait(request: HttpRequest) -> int:
    return window_wait(_TRIES_AT_OWN_PASSWORD, timezone.now(), "own password", request.user.pk)


def _password_tried(request: HttpRequest, form: AccountForm | ChangePassword) -> None:
    """Count a wrong password: somebody may sit at another person's open session."""
    if "password" in form.errors or "old_password" in form.errors:
        window_count(_TRIES_AT_OWN_PASSWORD, timezone.now(), "own password", request.user.pk)
