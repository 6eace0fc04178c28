"""Revisions of a machine, their signatures, documents and frozen content."""

from django.http import HttpRequest
from ninja import Router

from specapp.api.finding import machine_of, revision_of
from specapp.api.routes.common import REFUSALS, Id, answering, file_answer
from specapp.api.shapes import RevisionList, RevisionWhole
from specapp.api.telling import issued_told, revision_told, signature_told
from specapp.core.downloads import attachment
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.documents.registry import JSON
from specapp.revisions.content import bytes_of
from specapp.revisions.selectors import machine_revisions

_MACHINE = "/projects/{id:project_id}/machines/{id:machine_id}"
router = Router(tags=["Revisions"])


@router.get(f"{_MACHINE}/revisions", response=answering(200, RevisionList), url_name="revisions")
def revision_list(request: HttpRequest, project_id: Id, machine_id: Id):
    """List the revisions of a machine, the latest first."""
    _, machine = machine_of(request, project_id, machine_id, Right.READ_DRAFT)
    return {"revisions": [revision_told(revision) for revision in machine_revisions(machine)]}


@router.get(
    f"{_MACHINE}/revisions/{{id:revision_id}}", response=answering(200, RevisionWhole), url_name="revision"
)
def revision_read(request: HttpRequest, project_id: Id, machine_id: Id, revision_id: Id):
    """Read a revision with its signatures, also void ones, and its issued documents."""
    revision = revision_of(request, project_id, machine_id, revision_id)
    documents = revision.documents.select_related("issue", "revision__replaced_by")
    return revision_told(revision) | {
        "signatures": [signature_told(row) for row in revision.signatures.all()],
        "documents": issued_told(documents, request.user),
    }


@router.get(
    f"{_MACHINE}/revisions/{{id:revision_id}}/content",
    response=REFUSALS,
    openapi_extra=file_answer("revision/1, the stored bytes of which `sha256` is the checksum", JSON),
    url_name="revision-content",
)
def revision_content(request: HttpRequest, project_id: Id, machine_id: Id, revision_id: Id):
    """Read what was frozen: description, overrides, criteria, setpoint values and proposal."""
    revision = revision_of(request, project_id, machine_id, revision_id)
    name = f"{safe_name(revision.machine.tag)}_{safe_name(revision.label)}_revision.json"
    return attachment(bytes_of(revision.content_id), JSON, name)
