"""Files that leave: how they are answered, and that each is recorded, whoever asked for it."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.http import content_disposition_header

from specapp.core.audit import NOBODY, entry_append

ZIP = "application/zip"
# What was uploaded goes out as bytes that no browser opens by itself.
UNREAD = "application/octet-stream"


def attachment(content: bytes, media_type: str, name: str) -> HttpResponse:
    """Return a file to be saved under a name."""
    disposition = content_disposition_header(True, name)
    return HttpResponse(content, content_type=media_type, headers={"Content-Disposition": disposition})


def recorded_downloads(
    get_response: Callable[[HttpRequest], HttpResponse],
) -> Callable[[HttpRequest], HttpResponse]:
    """Middleware: add an entry for each attachment, before it is sent: no record, no file."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        kind, _, name = response.headers.get("Content-Disposition", "").partition(";")
        if kind != "attachment" or response.status_code != 200 or request.method == "HEAD":
            return response
        address = request.resolver_match.view_name
        if address in settings.DOWNLOADS_RECORDED_BY_THEIR_SERVICE:
            return response
        place = request.resolver_match.kwargs
        entry_append(
            author=request.user if request.user.is_authenticated else None,
            by=NOBODY,
            action="file.download",
            subject=None,
            about=name.partition("=")[2].strip('"'),
            now=timezone.now(),
            project_id=place.get("project_id"),
            data={"address": address, "machine": place.get("machine_id")},
        )
        return response

    return middleware
