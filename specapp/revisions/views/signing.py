"""The sign-off page: what is signed, what is accepted with it, and the password."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from specapp.core.roles import Right
from specapp.core.whole_numbers import whole_number
from specapp.projects.access import Access
from specapp.revisions.access import revision_or_404, signer_or_403
from specapp.revisions.errors import Refused, Stale
from specapp.revisions.forms import SignForm
from specapp.revisions.models import Part, Revision, State
from specapp.revisions.services.freezing import has_moved
from specapp.revisions.services.signing import accepted_lists, cannot_sign, signature_give

_COUNTS = {"from memory": "memory", "placeholders": "placeholders", "not opened": "unopened"}


@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def revision_sign(
    request: HttpRequest, project_id: int, machine_id: int, revision_id: int, part: str
) -> HttpResponse:
    access, _, revision = revision_or_404(request, project_id, machine_id, revision_id, Right.READ_DRAFT)
    signer_or_403(access, part)
    if request.method != "POST":
        return _page(request, access, revision, part, SignForm())
    form = SignForm(request.POST)
    if not form.is_valid():
        return _page(request, access, revision, part, form, status=422)
    try:
        signature_give(
            revision=revision,
            checksum=request.POST.get("checksum", ""),
            part=part,
            person=request.user,
            password=form.cleaned_data["password"],
            accepted=_accepted(request) if "accept" in request.POST else None,
            now=timezone.now(),
        )
    except Stale as stale:
        revision.refresh_from_db()
        return _page(request, access, revision, part, SignForm(), stale.text, 409)
    except Refused as refused:
        return _page(request, access, revision, part, SignForm(), refused.text, 422)
    messages.success(request, f"Signed as {Part(part).label}.")
    return redirect("revisions:revision-show", project_id, machine_id, revision_id)


def _accepted(request: HttpRequest) -> dict[str, int]:
    """Return how many of each list the person saw."""
    told = {}
    for name, field in _COUNTS.items():
        text = request.POST.get(f"count-{field}", "")
        told[name] = whole_number(text, -1, digits=6)
    return told


def _page(
    request: HttpRequest,
    access: Access,
    revision: Revision,
    part: str,
    form: SignForm,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    hinders = _hinders(request, revision, part)
    context = {
        "access": access,
        "project": access.project,
        "machine": revision.machine,
        "revision": revision,
        "part": part,
        "part_word": Part(part).label,
        "lists": accepted_lists(revision) if not hinders else None,
        "hinders": hinders,
        "form": form,
        "problem": problem,
    }
    return render(request, "revisions/sign.html", context, status=status)


def _hinders(request: HttpRequest, revision: Revision, part: str) -> str:
    """Return what stands in the way before a password is asked for."""
    if revision.state != State.CANDIDATE:
        return f"Revision {revision.label} is {revision.get_state_display()}: it is not signed any more."
    if has_moved(revision):
        return "The machine was changed since it was frozen: freeze it again before anyone signs."
    return cannot_sign(revision, part, request.user)
