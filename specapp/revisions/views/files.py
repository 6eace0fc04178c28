"""Issued files: the stored bytes, and the copy that says by what it is superseded."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from specapp.core.downloads import attachment
from specapp.core.roles import Right
from specapp.documents.registry import PDF
from specapp.documents.superseding import superseded_copy
from specapp.projects.access import project_or_404
from specapp.revisions.access import document_or_404
from specapp.revisions.content import bytes_of
from specapp.revisions.models import IssuedDocument
from specapp.revisions.presenting.standing import standings


@require_safe
def issued_file(request: HttpRequest, project_id: int, document_id: int) -> HttpResponse:
    """Return a document as it was issued, byte for byte."""
    document = _document_or_404(request, project_id, document_id)
    return attachment(bytes_of(document.file_id), document.media_type, document.filename)


@require_safe
def issued_file_superseded(request: HttpRequest, project_id: int, document_id: int) -> HttpResponse:
    """Return a copy of a superseded document that says so on every sheet; the issued file stays as it is."""
    document = _document_or_404(request, project_id, document_id)
    if document.revision is None or document.media_type != PDF:
        raise Http404
    standing = standings([document.revision], request.user)[document.revision_id]
    if not standing.is_superseded:
        raise Http404
    by = standing.by
    told = f"revision {by.label}, {by.issue.issued_on.isoformat()}" if by else "a later revision"
    line = f"superseded by {told}"
    name = f"{document.filename.removesuffix('.pdf')}_superseded.pdf"
    return attachment(superseded_copy(bytes_of(document.file_id), line), PDF, name)


def _document_or_404(request: HttpRequest, project_id: int, document_id: int) -> IssuedDocument:
    access = project_or_404(request, project_id, Right.READ_ISSUED)
    rows = IssuedDocument.objects.select_related("revision__replaced_by__issue")
    document = rows.filter(issue__project=access.project, pk=document_id).first()
    return document_or_404(access, request.user, document)
