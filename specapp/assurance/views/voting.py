"""The vote of the radial pairs: compared, and decided with a reason."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from specapp.assurance.forms import VotingForm
from specapp.assurance.presenting.voting import voting_parts
from specapp.assurance.services import Decision
from specapp.assurance.services import voting_decide as decide
from specapp.assurance.views.pages import page
from specapp.core import display as display_choice
from specapp.core.interrupted import keeps_what_was_typed, take
from specapp.core.roles import Right
from specapp.core.whole_numbers import version_in
from specapp.domain.problems import InputErrors
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.errors import StaleVersion
from specapp.projects.models import Machine
from specapp.projects.presenting.header import machine_context
from specapp.projects.views.unreadable import shows_problems


@keeps_what_was_typed
@require_http_methods(["GET", "HEAD", "POST"])
@shows_problems
def voting_decide(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    writes = request.method == "POST"
    right = Right.EDIT_MACHINE if writes else Right.READ_DRAFT
    access, machine = machine_or_404(request, project_id, machine_id, right)
    kept = None if writes else take(request)
    typed = request.POST if writes else kept
    form = VotingForm(typed or None, initial=_standing(machine, request))
    status = 200
    stale = False
    if writes:
        status = 422
        if form.is_valid():
            try:
                decide(
                    machine=machine,
                    expected_version=version_in(request.POST),
                    decision=Decision(**form.cleaned_data),
                    author=request.user,
                    now=timezone.now(),
                )
            except InputErrors as errors:
                for problem in errors.problems:
                    form.add_error(None, problem.line())
            except StaleVersion:
                stale, status = True, 409
            else:
                messages.success(request, "The decision on the vote is recorded.")
                return redirect("assurance:voting-decide", project_id, machine_id)
    if stale:
        machine.refresh_from_db()
    proposal = machine_proposal(machine)
    context = machine_context(access, machine, proposal, display_choice.switch(request))
    context |= {"form": form, "stale": stale, "source": _source(machine)}
    parts = voting_parts(proposal)
    return page(request, context, parts, "voting-decide", template="assurance/voting.html", status=status)


def _standing(machine: Machine, request: HttpRequest) -> dict[str, Any]:
    """Return what the form begins with: the decision that stands."""
    safety = machine.description.get("safety") or {}
    return {
        "voting": safety.get("radial_trip_voting", ""),
        "reason": safety.get("radial_trip_voting_reason", ""),
        "decided_by": request.user.get_full_name(),
        "dated": timezone.localdate(),
    }


def _source(machine: Machine) -> str:
    """Return who decided the vote and when, as its source says."""
    source = (machine.description.get("sources") or {}).get("safety.radial_trip_voting") or {}
    return ", ".join(str(source[name]) for name in ("document", "revision") if source.get(name))
