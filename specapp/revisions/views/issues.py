"""Issues of a project: the list, a new package, one issue, its archive."""

from typing import Any

from django.contrib import messages
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.downloads import ZIP, attachment
from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.projects.access import Access, project_or_404
from specapp.revisions.access import issue_or_404
from specapp.revisions.distribution_forms import DistributeForm
from specapp.revisions.errors import Refused
from specapp.revisions.forms import IssueForm
from specapp.revisions.models import Issue, Purpose, Receipt, Revision
from specapp.revisions.presenting.distribution import sent_lines
from specapp.revisions.presenting.listed import issues_schedule
from specapp.revisions.presenting.standing import standings
from specapp.revisions.readers import is_open_to, is_sent, issues_of
from specapp.revisions.selectors import candidates
from specapp.revisions.services.issuing import Sending, issue_create, not_ready
from specapp.revisions.services.packing import packed_issue

_MOST_ISSUES = 500


@require_safe
def issue_list(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_ISSUED)
    revisions = Prefetch("revisions", Revision.objects.select_related("machine", "replaced_by"))
    issues = issues_of(access, request.user).prefetch_related(revisions)[:_MOST_ISSUES]
    receipts = Receipt.objects.filter(issue__project=access.project, person=request.user)
    received = dict(receipts.values_list("issue", "received_at"))
    rows = [(issue, received.get(issue.pk)) for issue in issues]
    if file := list_file(request, access.project.file_name, {"transmittals": issues_schedule(rows)}):
        return file
    context = {
        "access": access,
        "project": access.project,
        "rows": rows,
        "waiting": candidates(access.project) if access.may_read_drafts else [],
        "may_issue": access.may(Right.ISSUE),
    }
    return render(request, "revisions/issues.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def issue_new(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.ISSUE)
    if request.method != "POST":
        return _new_page(request, access, IssueForm(project=access.project))
    form = IssueForm(request.POST, project=access.project)
    purpose = request.POST.get("purpose", "")
    if not form.is_valid():
        return _new_page(request, access, form, status=422)
    if purpose not in Purpose.values:
        return _new_page(request, access, form, "Choose the purpose of the package.", 422)
    try:
        issue = issue_create(
            project=access.project,
            purpose=purpose,
            chosen=_chosen(request.POST),
            sending=Sending(**form.cleaned_data),
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        return _new_page(request, access, form, refused.text, 409)
    messages.success(request, f"Issued under transmittal {issue.number}.")
    return redirect("revisions:issue-show", access.project.pk, issue.pk)


def _chosen(post: Any) -> dict[int, int]:
    """Return the candidates ticked, each with the version the page showed."""
    pairs = (value.split(":") for value in post.getlist("candidate"))
    return {
        int(pair[0]): int(pair[1])
        for pair in pairs
        if len(pair) == 2 and all(part.isdecimal() and len(part) < 18 for part in pair)
    }


def _new_page(
    request: HttpRequest, access: Access, form: IssueForm, problem: str = "", status: int = 200
) -> HttpResponse:
    rows = [(row, _hinders(row), f"{row.pk}:{row.version}") for row in candidates(access.project)]
    purposes = list(dict.fromkeys(row.purpose for row, _, _ in rows))
    context = {
        "access": access,
        "project": access.project,
        "groups": [
            (purpose, Purpose(purpose).label, [row for row in rows if row[0].purpose == purpose])
            for purpose in Purpose.values
        ],
        "count": len(rows),
        "ticked": request.POST.getlist("candidate"),
        "purpose": request.POST.get("purpose", "") or (purposes[0] if len(purposes) == 1 else ""),
        "form": form,
        "problem": problem,
    }
    return render(request, "revisions/issue_new.html", context, status=status)


def _hinders(revision: Revision) -> str:
    try:
        not_ready(revision, revision.purpose)
    except Refused as refused:
        # The page names the candidate before it.
        named = f"{revision.machine.tag} revision {revision.label}"
        return refused.text.removeprefix(named).lstrip(": ")
    return ""


@require_safe
def issue_show(request: HttpRequest, project_id: int, issue_id: int) -> HttpResponse:
    access, issue = issue_or_404(request, project_id, issue_id)
    return issue_page(request, access, issue)


def issue_page(
    request: HttpRequest,
    access: Access,
    issue: Issue,
    form: DistributeForm | None = None,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    """Return the page of an issue; people of other companies see no list but their own receipt."""
    rows = issue.documents.select_related("revision__machine", "revision__replaces").defer("file__content")
    revisions = issue.revisions.select_related("machine", "replaces", "replaced_by")
    stand = standings(revisions, request.user)
    documents = [(row, stand.get(row.revision_id)) for row in rows if is_open_to(access, row)]
    may_issue = access.may(Right.ISSUE)
    context = {
        "access": access,
        "project": access.project,
        "issue": issue,
        "standings": list(stand.values()),
        "documents": documents,
        "kept": [row for row in rows if not is_open_to(access, row)],
        "lines": sent_lines(issue) if access.may_read_drafts else [],
        "is_sent_to_me": is_sent(issue, access.role, request.user),
        "receipt": issue.receipts.filter(person=request.user).first(),
        "form": (form or DistributeForm(issue=issue)) if may_issue else None,
        "problem": problem,
    }
    return render(request, "revisions/issue.html", context, status=status)


@require_safe
def issue_package(request: HttpRequest, project_id: int, issue_id: int) -> HttpResponse:
    access, issue = issue_or_404(request, project_id, issue_id)
    name, content = packed_issue(
        issue=issue,
        author=request.user,
        now=timezone.now(),
        is_for_outside=not access.may_read_drafts,
    )
    return attachment(content, ZIP, name)
