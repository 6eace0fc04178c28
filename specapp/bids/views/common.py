"""What the pages of enquiries share."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from specapp.bids.models import Enquiry, Stage
from specapp.core.roles import Right
from specapp.projects.access import Access

# A page that posts elsewhere shows its own form again with what was wrong.
UNPROCESSABLE = 422
CONFLICT = 409


def page(
    request: HttpRequest,
    access: Access,
    enquiry: Enquiry | None,
    template: str,
    status: int = 200,
    **context: Any,
) -> HttpResponse:
    told = {
        "access": access,
        "project": access.project,
        "enquiry": enquiry,
        "stages": [each for each in Stage if each != Stage.CANCELLED],
        "may_enquire": access.may(Right.ENQUIRE),
        "may_evaluate": access.may(Right.EVALUATE),
        "may_open": access.may(Right.OPEN_OFFERS),
        "may_award": access.may(Right.AWARD),
        **context,
    }
    return render(request, f"bids/{template}.html", told, status=status)
