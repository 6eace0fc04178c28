"""Sending an issue to more people, and confirming that it arrived."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from specapp.core.roles import Right
from specapp.revisions.access import issue_or_404
from specapp.revisions.distribution_forms import DistributeForm
from specapp.revisions.errors import Refused
from specapp.revisions.services.distributing import issue_distribute, issue_receive
from specapp.revisions.views.issues import issue_page


@require_POST
def issue_distribute_now(request: HttpRequest, project_id: int, issue_id: int) -> HttpResponse:
    access, issue = issue_or_404(request, project_id, issue_id, Right.ISSUE)
    form = DistributeForm(request.POST, issue=issue)
    if not form.is_valid():
        return issue_page(request, access, issue, form, status=422)
    try:
        lines = issue_distribute(
            issue=issue,
            addressed=form.cleaned_data["distribution"],
            author=request.user,
            now=timezone.now(),
        )
    except Refused as refused:
        return issue_page(request, access, issue, form, refused.text, 422)
    messages.success(request, f"Sent to {', '.join(map(str, lines))}.")
    return redirect("revisions:issue-show", project_id, issue.pk)


@require_POST
def issue_receive_now(request: HttpRequest, project_id: int, issue_id: int) -> HttpResponse:
    access, issue = issue_or_404(request, project_id, issue_id)
    try:
        is_new = issue_receive(issue=issue, person=request.user, role=access.role, now=timezone.now())
    except Refused as refused:
        raise PermissionDenied(refused.text) from refused
    if is_new:
        messages.success(request, f"Receipt of {issue.number} is confirmed.")
    return redirect("revisions:issue-show", project_id, issue.pk)
