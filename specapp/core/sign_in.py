"""Sign-in by user name or by e-mail address, slowed down where somebody guesses."""

from datetime import datetime

from django.conf import settings
from django.contrib.auth.backends import ModelBackend
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from specapp.core.audit import NOBODY, entry_append
from specapp.core.limits import (
    Limit,
    client_address,
    window_count,
    window_forget,
    window_uncount,
    window_wait,
)
from specapp.core.models import User

# Attempts at one name from one place stop soon; one place trying many names, and one name tried from many
# places, later: a person who mistypes must not shut others out.
ATTEMPTS_AT_NAME_FROM_PLACE = Limit(5, 15 * 60)
ATTEMPTS_FROM_PLACE = Limit(50, 15 * 60)
ATTEMPTS_AT_NAME = Limit(30, 15 * 60)

# A browser that this person has signed in with before is counted by itself, so that strangers who guess at a
# name, or others behind the same address, never shut its owner out.
KNOWN_BROWSER = "known_browser"
_KNOWN_SECONDS = 365 * 24 * 3600
_KNOWN_SALT = "specapp.core.known_browser"


def person_named(typed: str) -> User | None:
    """Return the person of a user name or an address; user names are without "@"."""
    field = "email__iexact" if "@" in typed else "username__iexact"
    return User.objects.filter(**{field: typed.strip()}).first()


class NameOrEmailBackend(ModelBackend):
    """User names are without "@", so what was typed is either the one or the other."""

    def authenticate(self, request, username=None, password=None, **kwargs):
        if username is None or password is None:
            return None
        user = person_named(username)
        if user is None:
            # The same work as for a known name, so that the time taken does not tell which names exist.
            User().set_password(password)
            return None
        if user.check_password(password) and self.user_can_authenticate(user):
            return user
        return None


def _knows_browser(request: HttpRequest, typed: str) -> str:
    """Return the mark of a browser that this person has signed in with, nothing for any other browser."""
    mark = request.COOKIES.get(KNOWN_BROWSER, "")
    try:
        known = signing.loads(mark, salt=_KNOWN_SALT, max_age=_KNOWN_SECONDS)
    except signing.BadSignature:
        return ""
    person = person_named(typed)
    return mark if person is not None and person.pk in known else ""


def _windows(request: HttpRequest, typed: str) -> list[tuple[Limit, tuple[str, ...]]]:
    name, place = typed.strip().casefold(), client_address(request)
    if mark := _knows_browser(request, typed):
        return [(ATTEMPTS_AT_NAME_FROM_PLACE, ("sign-in", "browser", name, mark))]
    return [
        (ATTEMPTS_AT_NAME_FROM_PLACE, ("sign-in", "both", name, place)),
        (ATTEMPTS_FROM_PLACE, ("sign-in", "place", place)),
        (ATTEMPTS_AT_NAME, ("sign-in", "name", name)),
    ]


def sign_in_wait(request: HttpRequest, typed: str, now: datetime) -> int:
    """Count an attempt; return for how many seconds it is not even tried, 0 where it may be.

    Counted before the password is looked at, or a hundred attempts at once would all come through.
    """
    windows = _windows(request, typed)
    waits = [window_wait(limit, now, *parts) for limit, parts in windows]
    over = [window_count(limit, now, *parts) > limit.count for limit, parts in windows]
    return max(
        wait or (limit.seconds if is_over else 0)
        for wait, is_over, (limit, _) in zip(waits, over, windows, strict=True)
    )


def sign_in_failed(request: HttpRequest, typed: str) -> None:
    """Record a failure. What was typed is kept only where it names a person: it may be a password."""
    entry_append(
        author=None,
        by=NOBODY,
        action="sign_in.fail",
        subject=person_named(typed),
        about="unknown name",
        now=timezone.now(),
        data={"from": client_address(request)},
    )


def sign_in_succeeded(request: HttpRequest, typed: str, person: User) -> None:
    """Take the attempt back from the counts, and record the sign-in."""
    (_, own), *others = _windows(request, typed)
    window_forget(*own)
    for _, parts in others:
        window_uncount(*parts)
    entry_append(
        author=person,
        action="sign_in",
        subject=person,
        now=timezone.now(),
        data={"from": client_address(request)},
    )


def browser_remember(request: HttpRequest, response: HttpResponse, person: User) -> None:
    """Mark the browser as one that this person, and who else signed in with it, is known by."""
    try:
        known = signing.loads(request.COOKIES.get(KNOWN_BROWSER, ""), salt=_KNOWN_SALT)
    except signing.BadSignature:
        known = []
    people = [person.pk, *(each for each in known if each != person.pk)][:10]
    response.set_cookie(
        KNOWN_BROWSER,
        signing.dumps(people, salt=_KNOWN_SALT),
        max_age=_KNOWN_SECONDS,
        path=settings.SESSION_COOKIE_PATH,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )
