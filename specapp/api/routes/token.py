"""What the token itself is: whose, for which project, with which rights."""

from django.http import HttpRequest
from ninja import Router

from specapp.api.finding import project_of
from specapp.api.routes.common import answering
from specapp.api.shapes import TokenOut
from specapp.core.roles import Right
from specapp.projects.access import rights_in

router = Router(tags=["Token"])


@router.get("/token", response=answering(200, TokenOut), url_name="token")
def token_read(request: HttpRequest):
    """Read whose token this is, for which project, and what it may do there."""
    token = request.auth
    access = project_of(request, token.project_id, Right.READ_COMMENTS)
    return {
        "name": token.name,
        "person": str(token.person),
        "project_id": token.project_id,
        "project": str(token.project),
        "role": access.role.label,
        "rights": sorted(right.value for right in rights_in(access.project, access.role)),
        "ends_on": token.ends_on,
    }
