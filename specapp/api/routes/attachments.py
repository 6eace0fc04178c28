"""Papers of comments: added as the bytes of one file, told by what is in them, and read back as they came."""

from typing import Annotated

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from ninja import Query, Router
from ninja.responses import Status
from pydantic import Field

from specapp.api.answers import one_problem
from specapp.api.finding import machine_of
from specapp.api.knocking import COSTLY
from specapp.api.routes.comments import COMMENT, comment_or_404
from specapp.api.routes.common import REFUSALS, Id, answering, file_answer
from specapp.api.shapes import AttachmentOut, Line
from specapp.api.telling import attachment_told
from specapp.core.downloads import attachment
from specapp.core.roles import Right
from specapp.core.whole_numbers import whole_number
from specapp.domain.problems import InputErrors, Problem
from specapp.review.attachments import ALLOWED, LARGEST_BYTES, MOST_OF_A_COMMENT, paper_of
from specapp.review.services.comments import comment_attach

_KIND = "application/octet-stream"
_BODY = {
    "requestBody": {
        "required": True,
        "description": f"The bytes of one file: {ALLOWED}; at most {MOST_OF_A_COMMENT} with a comment.",
        "content": {_KIND: {"schema": {"type": "string", "format": "binary"}}},
    }
}
Name = Query[Annotated[Line, Field(min_length=1, max_length=120, description="What the file is called.")]]
router = Router(tags=["Comments"])


@router.post(
    f"{COMMENT}/attachments",
    response=answering(201, AttachmentOut),
    openapi_extra=_BODY,
    throttle=COSTLY,
    url_name="comment-attachments",
)
def comment_paper_add(request: HttpRequest, project_id: Id, machine_id: Id, number: Id, name: Name):
    """Add an attachment to a comment that is not closed. Its ending follows from what is in it."""
    access, machine = machine_of(request, project_id, machine_id, Right.COMMENT)
    comment = comment_or_404(access, request, machine, number)
    if request.content_type.startswith("multipart/"):
        raise InputErrors([Problem("Content-Type", request.content_type, f"{_KIND}, the file alone")])
    length = _length(request)
    if length > LARGEST_BYTES:
        return one_problem(413, "attachment", f"{length} bytes", ALLOWED)
    # Read past the limit for documents, which are held in memory as a whole; a paper has a limit of its own.
    paper = paper_of(name, request.read(LARGEST_BYTES + 1))
    kept = comment_attach(comment=comment, paper=paper, author=request.user, now=timezone.now())
    return Status(201, attachment_told(kept))


@router.get(
    f"{COMMENT}/attachments/{{id:attachment_id}}",
    response=REFUSALS,
    openapi_extra=file_answer("The bytes of which `sha256` is the checksum", _KIND),
    url_name="comment-attachment",
)
def comment_paper(
    request: HttpRequest, project_id: Id, machine_id: Id, number: Id, attachment_id: Id
) -> HttpResponse:
    """Download an attachment of a comment, byte for byte."""
    access, machine = machine_of(request, project_id, machine_id, Right.READ_COMMENTS)
    kept = comment_or_404(access, request, machine, number).attachments.filter(pk=attachment_id).first()
    if kept is None:
        raise Http404
    name = kept.name if kept.name.isascii() else f"attachment-{kept.pk}.{kept.kind}"
    return attachment(bytes(kept.content), _KIND, name)


def _length(request: HttpRequest) -> int:
    """Return how long a request says that its body is; a server hands on no more than that."""
    told = request.META.get("CONTENT_LENGTH") or "0"
    return whole_number(told, digits=15)
