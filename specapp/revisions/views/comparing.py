"""Two states of a machine beside each other: working, candidate, issued."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from specapp.core.list_files import list_file
from specapp.core.roles import Right
from specapp.domain.proposal import Proposal
from specapp.projects.access import machine_or_404
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.models import Machine
from specapp.projects.views.unreadable import shows_problems
from specapp.revisions.content import content_of, working_content
from specapp.revisions.models import Revision, State
from specapp.revisions.presenting.comparison import states_compared
from specapp.revisions.selectors import machine_revisions

WORKING = "working"


@require_safe
@shows_problems
def revision_compare(request: HttpRequest, project_id: int, machine_id: int) -> HttpResponse:
    access, machine = machine_or_404(request, project_id, machine_id, Right.READ_DRAFT)
    revisions = {str(row.pk): row for row in machine_revisions(machine)}
    names = {WORKING: f"working, v{machine.version}"} | {key: named(row) for key, row in revisions.items()}
    issued = next((key for key, row in revisions.items() if row.state == State.ISSUED), WORKING)
    was, now = request.GET.get("was", issued), request.GET.get("is", WORKING)
    if was not in names or now not in names:
        raise Http404
    before, after = (state_proposal(machine, revisions.get(key)) for key in (was, now))
    found = states_compared(before, after)
    if file := list_file(request, machine.tag, {"differences": found.schedule}):
        return file
    context = {
        "access": access,
        "project": access.project,
        "machine": machine,
        "names": names.items(),
        "was": was,
        "now": now,
        "was_name": names[was],
        "now_name": names[now],
        "found": found,
    }
    return render(request, "revisions/compare.html", context)


def named(revision: Revision) -> str:
    on = f", {revision.issue.issued_on.isoformat()}" if revision.issue else ""
    return f"{revision.label}, {revision.get_state_display()} for {revision.get_purpose_display()}{on}"


def state_proposal(machine: Machine, revision: Revision | None) -> Proposal:
    """Return a state's proposal, the working one as if it had been stored: lists and tuples compare alike."""
    if revision is None:
        return working_content(machine, machine_proposal(machine)).proposal
    return content_of(revision.checksum).proposal
