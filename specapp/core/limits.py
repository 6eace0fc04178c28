"""How often something may be asked for: fixed windows, counted in the database so that every process counts.

A window begins with the first request and ends after its length; the count then starts anew. That lets
twice the limit through around an end, which is enough here: what is limited is guessing and heavy work.
Login throttling and rate limits share this one mechanism. A package for sign-in alone was weighed: it adds
tables, an authentication back end and a lock by name, with which anybody could lock anybody out.
"""

import hashlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import F
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone

from specapp.core.models import CountedWindow

_LONGEST = timedelta(hours=24)


@dataclass(frozen=True, slots=True)
class Limit:
    """At most `count` in `seconds`."""

    count: int
    seconds: int


def _key(*parts: object) -> str:
    return hashlib.sha256("\x00".join(map(str, parts)).encode()).hexdigest()


def window_wait(limit: Limit, now: datetime, *parts: object) -> int:
    """Return for how many seconds more the limit is used up, 0 where it is not; counts nothing."""
    row = CountedWindow.objects.filter(key=_key(*parts)).first()
    if row is None or row.count < limit.count:
        return 0
    return max(0, ceil((row.began_at + timedelta(seconds=limit.seconds) - now).total_seconds()))


def window_count(limit: Limit, now: datetime, *parts: object) -> int:
    """Count one, and return how many there are in the window now."""
    key, begin = _key(*parts), now - timedelta(seconds=limit.seconds)
    with transaction.atomic():
        rows = CountedWindow.objects.filter(key=key)
        if not rows.filter(began_at__gt=begin).update(count=F("count") + 1) and not rows.update(
            began_at=now, count=1
        ):
            _begin(key, now)
        return rows.values_list("count", flat=True).get()


def _begin(key: str, now: datetime) -> None:
    try:
        with transaction.atomic():
            CountedWindow.objects.create(key=key, began_at=now, count=1)
    except IntegrityError:  # another process began it a moment ago
        CountedWindow.objects.filter(key=key).update(count=F("count") + 1)
        return
    # Whoever begins a window clears away what nobody looks at any more.
    CountedWindow.objects.filter(began_at__lt=now - _LONGEST).delete()


def window_uncount(*parts: object) -> None:
    """Take one back from a window."""
    CountedWindow.objects.filter(key=_key(*parts), count__gt=0).update(count=F("count") - 1)


def window_forget(*parts: object) -> None:
    """Let a window begin anew."""
    CountedWindow.objects.filter(key=_key(*parts)).delete()


def client_address(request: HttpRequest) -> str:
    """Return where a request comes from; behind a proxy, what the proxy itself has written last."""
    if settings.IS_BEHIND_PROXY:
        return request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
    return request.META.get("REMOTE_ADDR", "")


def is_for_programs(request: HttpRequest) -> bool:
    """Tell whether a program asks, which is answered in JSON rather than by a page."""
    return request.path.startswith("/api/")


def wait_in_words(seconds: int) -> str:
    return f"{ceil(seconds / 60)} min" if seconds > 90 else f"{seconds} s"


def refused(request: HttpRequest, seconds: int) -> HttpResponse:
    """Return the answer to one request too many."""
    wait = wait_in_words(seconds)
    if is_for_programs(request):
        problem = {"path": "address", "found": "too many requests", "allowed": f"the next one in {wait}"}
        response: HttpResponse = JsonResponse({"problems": [problem]}, status=429)
    else:
        context = {
            "title": "Too often in a short time",
            "what": f"This can be asked for again in {wait}.",
            "then": "Nothing is lost; go back and try again then.",
        }
        response = render(request, "core/problem.html", context, status=429)
    response.headers["Retry-After"] = str(seconds)
    return response


class LimitsMiddleware:
    """Holds people and programs to `settings.RATE_LIMITS`, and every request to its largest size."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if length.isdecimal() and int(length) > settings.LARGEST_REQUEST_BYTES:
            return _too_large(request)
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable, args: Iterable, kwargs: dict):
        """Count a request for something expensive; programs are counted where their token is read.

        HEAD is counted as GET: the page is worked out for it all the same.
        """
        method = "GET" if request.method == "HEAD" else request.method
        asked = settings.RATE_LIMITS.get(f"{method} {request.resolver_match.view_name}")
        if asked is None or not request.user.is_authenticated:
            return None
        limit = Limit(*asked)
        parts = ("page", request.resolver_match.view_name, request.user.pk)
        now = timezone.now()
        if wait := window_wait(limit, now, *parts):
            return refused(request, wait)
        window_count(limit, now, *parts)
        return None


def _too_large(request: HttpRequest) -> HttpResponse:
    megabytes = settings.LARGEST_REQUEST_BYTES // 1_000_000
    if is_for_programs(request):
        problem = {"path": "document", "found": "too much", "allowed": f"at most {megabytes} MB"}
        return JsonResponse({"problems": [problem]}, status=413)
    context = {
        "title": "Too large",
        "what": f"Found more than {megabytes} MB; allowed: at most {megabytes} MB in one request.",
        "then": "Go back and choose a smaller file.",
    }
    return render(request, "core/problem.html", context, status=413)
