"""Sign-in by user name or by e-mail address, slowed down where somebody guesses."""

from datetime import datetime

from django.contrib.auth.backends import ModelBackend
from django.http import HttpRequest
from django.utils import timezone

from specapp.core.audit import NOBODY, entry_append
from specapp.core.limits import Limit, client_address, window_count, window_forget, window_wait
from specapp.core.models import User

# Failures of one name from one place stop soon; one place trying many names, and one name tried from many
# places, later: a person who mistypes must not shut others out, nor be shut out by a stranger for long.
FAILURES_OF_NAME_FROM_PLACE = Limit(5, 15 * 60)
FAILURES_FROM_PLACE = Limit(50, 15 * 60)
FAILURES_OF_NAME = Limit(30, 15 * 60)


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


def _windows(request: HttpRequest, typed: str) -> list[tuple[Limit, tuple[str, ...]]]:
    name, place = typed.strip().casefold(), client_address(request)
    return [
        (FAILURES_OF_NAME_FROM_PLACE, ("sign-in", "both", name, place)),
        (FAILURES_FROM_PLACE, ("sign-in", "place", place)),
        (FAILURES_OF_NAME, ("sign-in", "name", name)),
    ]


def sign_in_wait(request: HttpRequest, typed: str, now: datetime) -> int:
    """Return for how many seconds no sign-in under this name from this place is even tried."""
    return max(window_wait(limit, now, *parts) for limit, parts in _windows(request, typed))


def sign_in_failed(request: HttpRequest, typed: str, *, action: str = "sign_in.fail") -> None:
    """Count and record a failure. What was typed is kept only where it names a person: it may be a secret."""
    now = timezone.now()
    for limit, parts in _windows(request, typed):
        window_count(limit, now, *parts)
    entry_append(
        author=None,
        by=NOBODY,
        action=action,
        subject=person_named(typed),
        about="unknown name",
        now=now,
        data={"from": client_address(request)},
    )


def sign_in_succeeded(request: HttpRequest, typed: str, person: User) -> None:
    """Forget the failures of this name from this place, and record the sign-in."""
    window_forget(*_windows(request, typed)[0][1])
    entry_append(
        author=person,
        action="sign_in",
        subject=person,
        now=timezone.now(),
        data={"from": client_address(request)},
    )
