"""Issues of a project: the list, a new package, one issue, its archive."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from specapp.core.roles import Right
from specapp.projects.access import Access, project_or_404
from specapp.revisions.errors import Refused
from specapp.revisions.forms import IssueForm
from specapp.revisions.models import Issue, Purpose, Revision
from specapp.revisions.selectors import candidates
from specapp.revisions.services.issuing import Sending, issue_create, not_ready
from specapp.revisions.services.packing import packed_issue

_MOST_ISSUES = 500


@require_safe
def issue_list(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    issues = Issue.objects.filter(project=access.project).prefetch_related("revisions__machine")[
        :_MOST_ISSUES
    ]
    context = {
        "access": access,
        "project": access.project,
        "issues": issues,
        "waiting": candidates(access.project),
        "may_issue": access.may(Right.ISSUE),
    }
    return render(request, "revisions/issues.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def issue_new(request: HttpRequest, project_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.ISSUE)
    if request.method != "POST":
        return _new_page(request, access, IssueForm())
    form = IssueForm(request.POST)
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


def issue_or_404(access: Access, issue_id: int) -> Issue:
    issue = Issue.objects.filter(project=access.project, pk=issue_id).first()
    if issue is None:
        raise Http404
    return issue


@require_safe
def issue_show(request: HttpRequest, project_id: int, issue_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    issue = issue_or_404(access, issue_id)
    documents = issue.documents.select_related("revision__machine", "revision__replaces")
    context = {
        "access": access,
        "project": access.project,
        "issue": issue,
        "revisions": issue.revisions.select_related("machine", "replaces", "replaced_by"),
        "documents": documents,
    }
    return render(request, "revisions/issue.html", context)


@require_safe
def issue_package(request: HttpRequest, project_id: int, issue_id: int) -> HttpResponse:
    access = project_or_404(request, project_id, Right.READ_DRAFT)
    issue = issue_or_404(access, issue_id)
    name, content = packed_issue(issue=issue, author=request.user, now=timezone.now())
    response = HttpResponse(content, content_type="application/zip")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
