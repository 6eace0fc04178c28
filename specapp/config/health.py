"""Whether this installation can do its work: for whoever watches it, without sign-in, without a secret."""

import shutil
from functools import lru_cache
from importlib.metadata import version

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.db import DatabaseError, connection, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.utils.crypto import get_random_string
from django.views.decorators.http import require_safe

from specapp.core.models import CountedWindow

LEAST_FREE_BYTES = 500_000_000
WELL = "ok"


@login_not_required
@require_safe
def health_show(request: HttpRequest) -> HttpResponse:
    """Answer 200 where everything is well, 503 with what is not."""
    checks = {"database": database(), "migrations": migrations(), "disk": disk()}
    is_well = all(found == WELL for found in checks.values())
    answer = {"status": WELL if is_well else "ill", "version": version("specapp"), "checks": checks}
    response = JsonResponse(answer, status=200 if is_well else 503)
    response.headers["Cache-Control"] = "private, no-store"
    return response


def database() -> str:
    """Write a row and take it back: a database that only reads is no use."""
    try:
        with transaction.atomic():
            CountedWindow.objects.create(key=get_random_string(32), began_at=timezone.now(), count=0)
            transaction.set_rollback(True)
    except DatabaseError:
        return "cannot be written"
    return WELL


@lru_cache(maxsize=1)
def _of_this_program() -> frozenset[tuple[str, str]]:
    return frozenset(MigrationLoader(None, ignore_no_migrations=True).disk_migrations)


def migrations() -> str:
    try:
        applied = set(MigrationRecorder(connection).applied_migrations())
    except DatabaseError:
        return "cannot be read"
    if _of_this_program() - applied:
        return "not applied"
    return WELL if applied <= _of_this_program() else "of a later version"


def disk() -> str:
    try:
        free = shutil.disk_usage(settings.VAR_DIR).free
    except OSError:
        return "cannot be read"
    return WELL if free >= LEAST_FREE_BYTES else f"less than {LEAST_FREE_BYTES // 1_000_000} MB free"
