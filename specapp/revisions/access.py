"""Who may sign as what, and finding the revision, issue or document a page is about."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest

from specapp.core.models import User
from specapp.core.roles import Right
from specapp.projects.access import Access, machine_or_404, project_or_404
from specapp.projects.models import Machine
from specapp.revisions.models import Issue, IssuedDocument, Part, Revision
from specapp.revisions.readers import is_open_to, issues_of

SIGNING_RIGHTS = {
    Part.PREPARED: Right.EDIT_MACHINE,
    Part.CHECKED: Right.CHECK,
    Part.APPROVED: Right.APPROVE,
}


def may_sign(access: Access) -> bool:
    return any(access.may(right) for right in SIGNING_RIGHTS.values())


def revision_or_404(
    request: HttpRequest, project_id: int, machine_id: int, revision_id: int, right: Right
) -> tuple[Access, Machine, Revision]:
    """Return a revision of the machine under the rules of its project."""
    access, machine = machine_or_404(request, project_id, machine_id, right)
    rows = Revision.objects.select_related("issue", "frozen_by", "replaces__issue", "replaced_by__issue")
    revision = rows.filter(machine=machine, pk=revision_id).first()
    if revision is None:
        raise Http404
    machine.project = access.project
    revision.machine = machine
    return access, machine, revision


def issue_or_404(
    request: HttpRequest, project_id: int, issue_id: int, right: Right = Right.READ_ISSUED
) -> tuple[Access, Issue]:
    """Return an issue that a member reads; one that was not sent to him does not exist for him."""
    access = project_or_404(request, project_id, right)
    issue = issues_of(access, request.user).filter(pk=issue_id).first()
    if issue is None:
        raise Http404
    issue.project = access.project
    return access, issue


def document_or_404(access: Access, person: User, document: IssuedDocument | None) -> IssuedDocument:
    """Return a document of an issue that a member reads, or say that this one is kept inside."""
    if document is None or not issues_of(access, person).filter(pk=document.issue_id).exists():
        raise Http404
    if not is_open_to(access, document):
        raise PermissionDenied(
            f"{document.number} {document.title} holds the owner's reasoning and is not sent out."
        )
    return document


def signer_or_403(access: Access, part: str) -> None:
    if part not in Part.values:
        raise Http404
    right = SIGNING_RIGHTS[Part(part)]
    if not access.may(right):
        raise PermissionDenied(f"As {access.role.label} of this project you may not {right.value}.")
