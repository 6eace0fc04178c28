"""What somebody tried and may not is recorded too."""

from django.http import HttpRequest
from django.utils import timezone

from specapp.core.audit import entry_append
from specapp.core.limits import Limit, window_count

# Enough to see what was tried; a script that keeps trying does not fill the record.
_RECORDED = Limit(20, 3600)


def refusal_record(request: HttpRequest) -> None:
    """Add an entry for a signed-in person who asked for what his or her role does not include."""
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return
    now = timezone.now()
    if window_count(_RECORDED, now, "refused", person.pk) > _RECORDED.count:
        return
    match = request.resolver_match
    entry_append(
        author=person,
        action="access.refuse",
        subject=None,
        about=f"{request.method} {request.path}"[:200],
        now=now,
        project_id=match.kwargs.get("project_id") if match else None,
        data={"address": match.view_name if match else ""},
    )
