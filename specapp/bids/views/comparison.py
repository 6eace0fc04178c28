"""The offers beside each other, and what they truly cost."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from specapp.bids.access import enquiry_or_404
from specapp.bids.comparing import compared, disputes, evaluated, sealed_count
from specapp.bids.models import Enquiry, Stage
from specapp.bids.presenting.comparison import FILTERS, SHAPES, deviations, groups_of, lines_of
from specapp.bids.presenting.evaluation import build_up, nobody_quoted, open_lines, standings, summary
from specapp.bids.services.reporting import KINDS, report_file
from specapp.bids.views.common import CONFLICT, page
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors
from specapp.evaluation.sensitivity import sensitivities

COMPARED_AT = (Stage.OPENED, Stage.DECIDED, Stage.PRICED, Stage.RECOMMENDED, Stage.AWARDED)
PRICED_AT = (Stage.PRICED, Stage.RECOMMENDED, Stage.AWARDED)
_TYPES = {
    "pdf": "application/pdf",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


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
    return page(
        request,
        access,
        enquiry,
        "comparison",
        offers=found.offers,
        names=names,
        one=one if one in names else (names[0] if names else ""),
        filters=[(key, title, sum(key in line.kinds for line in lines)) for key, title in FILTERS.items()],
        shown=shown,
        groups=list(groups_of(found, lines, shown)),
        shapes=SHAPES.items(),
        deviations=deviations(enquiry, found),
    )


@require_safe
def evaluation_show(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    """The evaluated prices, once the prices are open."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if enquiry.stage not in PRICED_AT:
        return page(request, access, enquiry, "evaluation", sealed=True)
    try:
        found, bids, evaluation = evaluated(enquiry)
    except InputErrors as errors:
        return page(request, access, enquiry, "evaluation", problems=errors.problems)
    return page(
        request,
        access,
        enquiry,
        "evaluation",
        evaluation=evaluation,
        settings=bids.settings,
        summary=summary(evaluation),
        standings=standings(evaluation),
        priced=[each.name for each in evaluation.bidders if each.lines],
        build_up=build_up(evaluation),
        nobody_quoted=nobody_quoted(bids),
        open_lines=[*found.unrated, *open_lines(evaluation)],
        sensitivities=sensitivities(bids, list(disputes(found))),
        sealed_count=sealed_count(enquiry),
    )


@require_safe
def evaluation_report(request: HttpRequest, project_id: int, enquiry_id: int, kind: str) -> HttpResponse:
    """The report of the comparison as it stands."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if kind not in KINDS:
        raise Http404
    if enquiry.stage not in PRICED_AT:
        return page(request, access, enquiry, "evaluation", status=CONFLICT, sealed=True)
    try:
        content = report_file(enquiry, kind)
    except InputErrors as errors:
        return page(request, access, enquiry, "evaluation", status=CONFLICT, problems=errors.problems)
    response = HttpResponse(content, content_type=_TYPES[kind])
    response.headers["Content-Disposition"] = f'attachment; filename="{_named(enquiry)}.{kind}"'
    return response


def _named(enquiry: Enquiry) -> str:
    kept = "".join(char if char.isascii() and char.isalnum() else "-" for char in enquiry.reference)
    return f"{kept.strip('-') or 'enquiry'}_comparison"
