"""Finding what a page is about: a stranger finds nothing, a bidder least of all."""

from django.http import Http404, HttpRequest

from specapp.bids.models import Bidder, Enquiry, Envelope, Offer
from specapp.core.roles import Right
from specapp.projects.access import Access, project_or_404


def enquiry_or_404(
    request: HttpRequest, project_id: int, enquiry_id: int, right: Right
) -> tuple[Access, Enquiry]:
    """Return an enquiry of the project under the rules of its members."""
    access = project_or_404(request, project_id, right)
    enquiry = Enquiry.objects.select_related("issue").filter(project=access.project, pk=enquiry_id).first()
    if enquiry is None:
        raise Http404
    enquiry.project = access.project
    return access, enquiry


def bidder_or_404(enquiry: Enquiry, bidder_id: int) -> Bidder:
    bidder = enquiry.bidders.filter(pk=bidder_id).first()
    if bidder is None:
        raise Http404
    bidder.enquiry = enquiry
    return bidder


def offer_or_404(enquiry: Enquiry, offer_id: int) -> Offer:
    offer = Offer.objects.select_related("bidder").filter(bidder__enquiry=enquiry, pk=offer_id).first()
    if offer is None:
        raise Http404
    offer.bidder.enquiry = enquiry
    return offer


def envelope_or_404(enquiry: Enquiry, envelope_id: int, *, opened: bool = False) -> Envelope:
    """Return a file; a sealed one is not found where it has to be open, and its content is not loaded."""
    rows = Envelope.objects.select_related("offer__bidder", "amendment")
    rows = rows.filter(opened_at__isnull=False) if opened else rows.defer("content")
    row = rows.filter(offer__bidder__enquiry=enquiry, pk=envelope_id).first()
    if row is None:
        raise Http404
    row.offer.bidder.enquiry = enquiry
    return row
