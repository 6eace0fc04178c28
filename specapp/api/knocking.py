"""Who asks: the token of a request, how often it may ask, and how a stranger is turned away."""

from typing import Any

from django.http import HttpRequest
from django.utils import timezone
from ninja.security import HttpBearer
from ninja.throttling import BaseThrottle

from specapp.api.models import ApiToken
from specapp.api.tokens import token_of
from specapp.core.audit import NOBODY, entry_append
from specapp.core.limits import Limit, client_address, window_count, window_wait

LIMIT_OF_A_TOKEN = Limit(300, 60)
LIMIT_OF_COSTLY = Limit(60, 60)
# A token cannot be guessed; what is limited is the noise that trying makes in the record.
FAILURES_FROM_PLACE = Limit(30, 15 * 60)


class Unknown(Exception):
    """Nobody is known by what the request carries."""

    def __init__(self, found: str) -> None:
        super().__init__(found)
        self.found = found


class TooOften(Exception):
    """Asked more often than allowed; `seconds` until the next request."""

    def __init__(self, seconds: int) -> None:
        super().__init__(str(seconds))
        self.seconds = seconds


class Bearer(HttpBearer):
    """Reads `Authorization: Bearer <token>`; from then on the request is its person's."""

    def __call__(self, request: HttpRequest) -> Any:
        scheme, _, secret = request.headers.get("Authorization", "").partition(" ")
        if not scheme:
            raise Unknown("nothing")
        if scheme.lower() != self.openapi_scheme or not secret.strip():
            raise Unknown("something else")
        return self.authenticate(request, secret.strip())

    def authenticate(self, request: HttpRequest, token: str) -> ApiToken:
        now, place = timezone.now(), client_address(request)
        if wait := window_wait(FAILURES_FROM_PLACE, now, "token", place):
            raise TooOften(wait)
        found = token_of(token, now)
        if found is None:
            window_count(FAILURES_FROM_PLACE, now, "token", place)
            entry_append(
                author=None,
                by=NOBODY,
                action="token.fail",
                subject=None,
                about="unknown, ended or withdrawn token",
                now=now,
                data={"from": place},
            )
            raise Unknown("a token that is unknown, ended or withdrawn")
        request.user = found.person
        return found


class PerToken(BaseThrottle):
    """Holds a token to a number of requests in a time, counted in the database as every other limit."""

    def __init__(self, name: str, limit: Limit) -> None:
        self.name, self.limit = name, limit

    def allow_request(self, request: HttpRequest) -> bool:
        now, parts = timezone.now(), ("api", self.name, request.auth.pk)
        if seconds := window_wait(self.limit, now, *parts):
            # One instance serves every thread, so the waiting time goes with the request.
            request.seconds_to_wait = seconds
            return False
        window_count(self.limit, now, *parts)
        return True


EVERY = PerToken("every", LIMIT_OF_A_TOKEN)
COSTLY = [EVERY, PerToken("costly", LIMIT_OF_COSTLY)]
