"""The end of an enquiry: letters, and the specification as purchased."""

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from specapp.bids.access import bidder_or_404, bidding_or_404, enquiry_or_404
from specapp.bids.awarding import award_of, bought, letter_of
from specapp.bids.services.reporting import purchase_file
from specapp.bids.views.common import CONFLICT, page
from specapp.core.downloads import attachment
from specapp.core.list_files import safe_name
from specapp.core.roles import Right
from specapp.documents.bid_letters import BidLetter
from specapp.documents.bid_letters import render as render_letter
from specapp.documents.options import Options
from specapp.documents.registry import PDF


@require_safe
def purchase_show(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    """What was purchased with its provenance and deviations, and the letters."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    award = award_of(enquiry)
    if award is None:
        return page(request, access, enquiry, "purchase")
    lines = bought(enquiry, award)
    return page(
        request,
        access,
        enquiry,
        "purchase",
        award=award,
        lines=lines,
        deviations=[line for line in lines if line.deviates],
        bidders=enquiry.bidders.all(),
    )


@require_safe
def purchase_report(request: HttpRequest, project_id: int, enquiry_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    award = award_of(enquiry)
    if award is None:
        return page(request, access, enquiry, "purchase", status=CONFLICT)
    return attachment(purchase_file(enquiry, award), PDF, f"{safe_name(enquiry.reference)}_as_purchased.pdf")


@require_safe
def letter_file(request: HttpRequest, project_id: int, enquiry_id: int, bidder_id: int) -> HttpResponse:
    """The letter of one bidder, for those who award."""
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.AWARD)
    bidder = bidder_or_404(enquiry, bidder_id)
    award = award_of(enquiry)
    if award is None:
        return page(request, access, enquiry, "purchase", status=CONFLICT)
    return _letter(letter_of(bidder, award))


@require_safe
def bidding_letter(request: HttpRequest, code: str) -> HttpResponse:
    """A bidder's own letter; before the award there is none."""
    bidder = bidding_or_404(request, code)
    award = award_of(bidder.enquiry)
    if award is None:
        raise Http404
    return _letter(letter_of(bidder, award))


def _letter(letter: BidLetter) -> HttpResponse:
    return attachment(render_letter(letter, Options()), PDF, f"{safe_name(letter.reference)}_letter.pdf")
