"""What the offers truly cost: the page and the report."""

from django.db.models import F
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from specapp.bids.access import enquiry_or_404
from specapp.bids.comparing import Compared, disputes, evaluated, sealed_count
from specapp.bids.models import Enquiry, ReportKind, Stage
from specapp.bids.presenting.evaluation import build_up, nobody_quoted, open_lines, standings, summary
from specapp.bids.presenting.prices import assumptions, options, parts_of, terms_told, two_year_spares
from specapp.bids.services.reporting import report_file
from specapp.bids.views.common import CONFLICT, page
from specapp.core.downloads import attachment
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.documents.registry import PDF, XLSX
from specapp.domain.problems import InputErrors
from specapp.evaluation.evaluation import LEFT_OUT, Evaluation, figures_checksum
from specapp.evaluation.sensitivity import sensitivities

PRICED_AT = (Stage.PRICED, Stage.RECOMMENDED, Stage.AWARDED)
_TYPES = {ReportKind.PDF: PDF, ReportKind.XLSX: XLSX}


@require_safe
def evaluation_show(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    """The evaluated prices, once the prices are open."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if enquiry.stage not in PRICED_AT:
        return page(request, access, enquiry, "evaluation", sealed=True)
    kept = list(enquiry.reports.annotate(size=F("file__size")))
    try:
        found, bids, evaluation = evaluated(enquiry)
    except InputErrors as errors:
        return page(request, access, enquiry, "evaluation", problems=errors.problems, kept=kept)
    figures = figures_checksum(evaluation)
    return page(
        request,
        access,
        enquiry,
        "evaluation",
        evaluation=evaluation,
        settings=bids.settings,
        summary=summary(evaluation),
        standings=standings(evaluation),
        has_unranked=not all(each.ranked for each in evaluation.bidders),
        priced=[each.name for each in evaluation.bidders if each.lines],
        build_up=build_up(evaluation, parts_of(found), _load_addresses(enquiry, found, evaluation)),
        may_decide=enquiry.stage == Stage.PRICED and access.may(Right.EVALUATE),
        nobody_quoted=nobody_quoted(bids),
        open_lines=[*found.unrated, *open_lines(evaluation)],
        options=options(found),
        two_year_spares=two_year_spares(found),
        terms_told=terms_told(found),
        assumptions=assumptions(bids, evaluation),
        sensitivities=sensitivities(bids, list(disputes(found))),
        sealed_count=sealed_count(enquiry),
        kept=kept,
        has_moved=any(row.figures != figures for row in kept),
    )


@require_safe
def evaluation_report(request: HttpRequest, project_id: int, enquiry_id: int, kind: str) -> HttpResponse:
    """The report: a working copy until the recommendation is signed, then the one kept with it."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    if kind not in ReportKind.values:
        raise Http404
    if enquiry.stage not in PRICED_AT:
        return page(request, access, enquiry, "evaluation", status=CONFLICT, sealed=True)
    try:
        content = report_file(enquiry, kind, timezone.now())
    except InputErrors as errors:
        return page(request, access, enquiry, "evaluation", status=CONFLICT, problems=errors.problems)
    name = f"{safe_name(enquiry.reference) or 'enquiry'}_comparison.{kind}"
    return attachment(content, _TYPES[ReportKind(kind)], name)


def _load_addresses(enquiry: Enquiry, found: Compared, evaluation: Evaluation) -> dict[tuple[str, str], str]:
    """Return where to decide, or read what was decided, about each item that an offer left out."""
    keys = {item.title: item.key for item in found.sheet.items}
    offers = {str(each.offer): each.offer.pk for each in found.offers}
    return {
        (each.name, item): reverse(
            "bids:load-show", args=[enquiry.project_id, enquiry.pk, offers[each.name], keys[item]]
        )
        for each in evaluation.bidders
        for item, reason in each.reasons.items.items()
        if reason.basis in LEFT_OUT
    }
