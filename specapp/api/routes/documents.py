"""Documents: printed from a machine as it stands, or as they were issued."""

from django.http import Http404, HttpRequest
from ninja import Path, Router

from specapp.api.finding import machine_of, project_of
from specapp.api.knocking import COSTLY
from specapp.api.routes.common import REFUSALS, Id, answering, file_answer
from specapp.api.shapes import IssuedDocumentList, WorkingDocumentList
from specapp.api.telling import issued_told
from specapp.core.downloads import attachment
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.documents.registry import DOCUMENTS
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.views.documents import document_options
from specapp.revisions.access import document_or_404
from specapp.revisions.content import bytes_of
from specapp.revisions.models import IssuedDocument
from specapp.revisions.readers import documents_of

_MACHINE = "/projects/{id:project_id}/machines/{id:machine_id}"
_MEDIA_TYPES = sorted({document.media_type for document in DOCUMENTS.values()})
router = Router(tags=["Documents"])


@router.get(
    f"{_MACHINE}/documents", response=answering(200, WorkingDocumentList), url_name="working-documents"
)
def working_document_list(request: HttpRequest, project_id: Id, machine_id: Id):
    """List the documents that can be printed from a machine as it stands: working, not issued."""
    machine_of(request, project_id, machine_id, Right.READ_DRAFT)
    names = ("key", "title", "filename", "media_type")
    return {"documents": [{name: getattr(row, name) for name in names} for row in DOCUMENTS.values()]}


@router.get(
    f"{_MACHINE}/documents/{{key}}",
    response=REFUSALS,
    openapi_extra=file_answer("The document", *_MEDIA_TYPES),
    throttle=COSTLY,
    url_name="working-document",
)
def working_document(request: HttpRequest, project_id: Id, machine_id: Id, key: Path[str]):
    """Print a document from a machine as it stands: working, not issued."""
    access, machine = machine_of(request, project_id, machine_id, Right.READ_DRAFT)
    document = DOCUMENTS.get(key)
    if document is None:
        raise Http404
    content = document.render(machine_proposal(machine), document_options(access.project, request))
    return attachment(content, document.media_type, f"{safe_name(machine.tag)}_{document.filename}")


@router.get(
    "/projects/{id:project_id}/documents", response=answering(200, IssuedDocumentList), url_name="documents"
)
def issued_document_list(request: HttpRequest, project_id: Id):
    """List the issued documents of the project that you may read, the latest first.

    A superseded one says by what, where you may read that too.
    """
    access = project_of(request, project_id, Right.READ_ISSUED)
    rows = documents_of(access, request.user).select_related("issue", "revision__replaced_by")
    return {"documents": issued_told(rows.order_by("-issue__sequence", "pk"), request.user)}


@router.get(
    "/projects/{id:project_id}/documents/{id:document_id}",
    response=REFUSALS,
    openapi_extra=file_answer("The stored bytes of which `sha256` is the checksum", *_MEDIA_TYPES),
    url_name="document",
)
def issued_document(request: HttpRequest, project_id: Id, document_id: Id):
    """Download a document as it was issued, byte for byte."""
    access = project_of(request, project_id, Right.READ_ISSUED)
    found = IssuedDocument.objects.filter(issue__project=access.project, pk=document_id).first()
    document = document_or_404(access, request.user, found)
    return attachment(bytes_of(document.file_id), document.media_type, document.filename)
