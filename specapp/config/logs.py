"""Logs as lines of JSON: which request, whose, which address by its name, how it ended; never a value.

Addresses are named, not written out, and of an exception only its type and place are kept: what people
typed, keys, links that are good once and tokens stay out of the logs.
"""

import json
import logging
import re
import secrets
import time
import traceback
from collections.abc import Callable
from contextvars import ContextVar
from datetime import UTC, datetime
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.functional import LazyObject

_log = logging.getLogger("specapp.requests")
_current: ContextVar[HttpRequest | None] = ContextVar("request", default=None)
_OF_A_PROXY = re.compile(r"[A-Za-z0-9-]{8,64}")
_MOST_FRAMES = 12
_OWN_FIELDS = ("method", "status", "milliseconds")


def logged_requests(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: give each request a number of its own, and log how it ended."""

    def middleware(request: HttpRequest) -> HttpResponse:
        request.id = _request_id(request)
        before, token = time.perf_counter(), _current.set(request)
        try:
            response = get_response(request)
            spent = round((time.perf_counter() - before) * 1000, 1)
            fields = {"method": request.method, "status": response.status_code, "milliseconds": spent}
            _log.info("request", extra=fields)
        finally:
            _current.reset(token)
        response.headers["X-Request-ID"] = request.id
        return response

    return middleware


def _request_id(request: HttpRequest) -> str:
    told = request.headers.get("X-Request-ID", "") if settings.IS_BEHIND_PROXY else ""
    return told if _OF_A_PROXY.fullmatch(told) else secrets.token_hex(8)


class JsonLines(logging.Formatter):
    """Writes a record as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "event": _event(record),
        }
        request = getattr(record, "request", None) or _current.get()
        if isinstance(request, HttpRequest):
            line |= _about(request)
        line |= {name: getattr(record, name) for name in _OWN_FIELDS if hasattr(record, name)}
        if record.exc_info and record.exc_info[0] is not None:
            line["exception"] = record.exc_info[0].__qualname__
            frames = traceback.extract_tb(record.exc_info[2])[-_MOST_FRAMES:]
            line["frames"] = [f"{frame.filename}:{frame.lineno} {frame.name}" for frame in frames]
        return json.dumps(line)


def _event(record: logging.LogRecord) -> str:
    """Return what happened; others than this program's own loggers put values into their texts."""
    if record.name.startswith("specapp") or record.name.startswith("gunicorn"):
        return record.getMessage()
    if record.name == "django.request" and isinstance(record.args, tuple) and record.args:
        return str(record.args[0])
    if record.name.startswith("django.security"):  # its texts quote what was sent
        return record.name.rpartition(".")[2]
    return str(record.msg)


def _about(request: HttpRequest) -> dict[str, Any]:
    match = request.resolver_match
    person = request.__dict__.get("user")
    # The sign-in is looked up when it is first asked for; logging must not be what asks.
    known = getattr(request, "_cached_user", None) if issubclass(type(person), LazyObject) else person
    return {
        "request": getattr(request, "id", ""),
        "user": known.pk if known is not None else None,
        "address": match.view_name if match else "",
    }
