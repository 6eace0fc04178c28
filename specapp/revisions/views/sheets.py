"""Is this sheet current? Asked by the code printed on it, or by the file itself."""

import hashlib

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.roles import Right
from specapp.documents.sheet_code import code_in, shown, typed
from specapp.projects.access import Access, project_or_404
from specapp.revisions.access import document_or_404
from specapp.revisions.content import content_of
from specapp.revisions.forms import FindForm
from specapp.revisions.models import IssuedDocument, Revision
from specapp.revisions.presenting.comparison import states_compared, values_compared
from specapp.revisions.readers import issues_of, issues_read_by
from specapp.revisions.selectors import candidate_of, replaced_by
from specapp.revisions.services.signing import last_issued

LARGEST = 30 * 1024 * 1024
_SAME, _CHANGED = "same", "changed"


@require_http_methods(["GET", "HEAD", "POST"])
def sheet_find(request: HttpRequest) -> HttpResponse:
    """Ask for a code, or take a file and say what it is."""
    if request.method == "POST":
        return _of_file(request)
    if "code" not in request.GET:
        return _find_page(request, FindForm())
    form = FindForm(request.GET)
    code = typed(request.GET["code"]) if form.is_valid() else None
    if code is None:
        return _find_page(request, form, "A code has eight letters and figures, such as 7KQ2-M4TD.", 422)
    return redirect("revisions:sheet-show", code)


def _find_page(request: HttpRequest, form: FindForm, problem: str = "", status: int = 200) -> HttpResponse:
    return render(request, "revisions/sheet_find.html", {"form": form, "problem": problem}, status=status)


def _of_file(request: HttpRequest) -> HttpResponse:
    file = request.FILES.get("file")
    if file is None:
        return _find_page(request, FindForm(), "Choose the file that is to be looked up.", 422)
    if file.size > LARGEST:
        size = file.size / 1024 / 1024
        return _find_page(
            request,
            FindForm(),
            f"Found a file of {size:.1f} MB; allowed: up to {LARGEST // 1024 // 1024} MB.",
            422,
        )
    data = file.read()
    digest = hashlib.sha256(data).hexdigest()
    readable = _readable(request)
    document = readable.filter(file_id=digest).first()
    if document is not None:
        return _state(request, document, _SAME)
    code = code_in(data)
    document = readable.filter(code=code).first() if code else None
    if document is None:
        return _find_page(
            request,
            FindForm(),
            "This is no file that was issued in a project of yours, and it holds no code of one. "
            "If a code is printed on the sheet, type it.",
            422,
        )
    return _state(request, document, _CHANGED)


def _readable(request: HttpRequest):
    return IssuedDocument.objects.filter(issue__in=issues_read_by(request.user)).select_related(
        "issue__project", "revision__machine__project", "revision__replaced_by__issue"
    )


@require_safe
def sheet_show(request: HttpRequest, code: str) -> HttpResponse:
    """Return the state of a sheet by its code; who is no reader of its issue finds nothing."""
    wanted = typed(code)
    rows = IssuedDocument.objects.select_related("issue__project", "revision__machine__project")
    document = rows.filter(code=wanted).first() if wanted else None
    if document is None:
        raise Http404
    return _state(request, document, "")


def _state(request: HttpRequest, document: IssuedDocument, match: str) -> HttpResponse:
    access = project_or_404(request, document.issue.project_id, Right.READ_ISSUED)
    document_or_404(access, request.user, document)
    revision: Revision | None = document.revision
    is_superseded = revision is not None and replaced_by(revision) is not None
    current = _current(access, request, revision) if revision and is_superseded else None
    candidate = None
    if revision and not is_superseded and access.may_read_drafts:
        candidate = candidate_of(revision.machine)
    found = None
    if revision and current:
        compared = states_compared if access.may_read_drafts else values_compared
        found = compared(content_of(revision.checksum).proposal, content_of(current.checksum).proposal)
    context = {
        "access": access,
        "project": access.project,
        "document": document,
        "code": shown(document.code),
        "revision": revision,
        "machine": revision.machine if revision else None,
        "is_superseded": is_superseded,
        "current": current,
        "candidate": candidate,
        "found": found,
        "match": match,
        "same": match == _SAME,
        "changed": match == _CHANGED,
    }
    return render(request, "revisions/sheet.html", context)


def _current(access: Access, request: HttpRequest, revision: Revision) -> Revision | None:
    """Return the revision to work to instead, None where it was not sent to the person who asks."""
    current = last_issued(revision.machine)
    if current is None or not issues_of(access, request.user).filter(pk=current.issue_id).exists():
        return None
    return current
