"""The offers beside each other."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from specapp.bids.access import enquiry_or_404
from specapp.bids.comparing import compared
from specapp.bids.models import Stage
from specapp.bids.presenting.comparison import (
    FILTERS,
    SHAPES,
    deviation_items,
    deviations,
    groups_of,
    lines_of,
)
from specapp.bids.views.common import page
from specapp.core.roles import Right

COMPARED_AT = (Stage.OPENED, Stage.DECIDED, Stage.PRICED, Stage.RECOMMENDED, Stage.AWARDED)


@require_safe
def comparison_show(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    """Requirements by bidders; before the opening there is nothing to compare."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if enquiry.stage not in COMPARED_AT:
        return page(request, access, enquiry, "comparison", sealed=True)
    found = compared(enquiry)
    lines = lines_of(enquiry, found)
    shown = request.GET.get("show", "all")
    shown = shown if shown in FILTERS else "all"
    names = [str(each.offer) for each in found.offers]
    one = request.GET.get("offer", "")
    one = one if one in names else (names[0] if names else "")
    return page(
        request,
        access,
        enquiry,
        "comparison",
        offers=[(each, ", ".join(row.id for row in each.knocked_out)) for each in found.offers],
        names=names,
        one=one,
        filters=[(key, title, sum(key in line.kinds for line in lines)) for key, title in FILTERS.items()],
        shown=shown,
        groups=list(groups_of(found, lines, shown, one)),
        shapes=SHAPES.items(),
        deviations=[(name, len(rows), deviation_items(rows)) for name, rows in deviations(enquiry, found)],
    )
