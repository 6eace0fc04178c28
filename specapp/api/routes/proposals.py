"""Proposals: of a stored machine as it stands, or of a description that is not saved."""

from django.http import HttpRequest, HttpResponse
from ninja import Router

from specapp.api.finding import machine_of, project_of
from specapp.api.knocking import COSTLY
from specapp.api.machine_body import MACHINE_BODY, description_of
from specapp.api.routes.common import REFUSALS, Id, file_answer
from specapp.core.roles import Right
from specapp.documents.registry import JSON
from specapp.domain.proposal import Proposal, proposal_bytes
from specapp.projects.deciding.ground import machine_proposal, project_ground
from specapp.projects.worked import proposal_for

_PROPOSAL = file_answer("proposal/1", JSON)
router = Router(tags=["Proposals"])


def _answer(proposal: Proposal) -> HttpResponse:
    return HttpResponse(proposal_bytes(proposal), content_type=JSON)


@router.get(
    "/projects/{id:project_id}/machines/{id:machine_id}/proposal",
    response=REFUSALS,
    openapi_extra=_PROPOSAL,
    throttle=COSTLY,
    url_name="proposal",
)
def proposal_read(request: HttpRequest, project_id: Id, machine_id: Id):
    """Read proposal/1 of a machine as it stands, with the project's criteria and its overrides."""
    return _answer(machine_proposal(machine_of(request, project_id, machine_id, Right.READ_DRAFT)[1]))


@router.post(
    "/projects/{id:project_id}/proposals",
    response=REFUSALS,
    openapi_extra=MACHINE_BODY | _PROPOSAL,
    throttle=COSTLY,
    url_name="proposals",
)
def propose(request: HttpRequest, project_id: Id):
    """Work out proposal/1 of the described machine under the project's criteria, and save nothing."""
    ground = project_ground(project_of(request, project_id, Right.READ_DRAFT).project.pk)
    return _answer(proposal_for(description_of(request, ground), ground))
