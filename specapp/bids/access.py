"""Finding what a page is about: a stranger finds nothing, a bidder least of all."""

from django.db.models import OuterRef, QuerySet, Subquery
from django.http import Http404, HttpRequest
from django.utils import timezone

from specapp.bids.models import Amendment, Bidder, Enquiry, Envelope, Offer
from specapp.core.models import User
from specapp.core.roles import Right, Role
from specapp.projects.access import Access, project_or_404
from specapp.projects.models import Membership


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


def bidding_or_404(request: HttpRequest, code: str) -> Bidder:
    """Return what a person is asked as one of a bidder's people; nothing of it is there before its issue.

    Also switches to the project's time zone for the rest of the request.
    """
    bidder = biddings_of(request.user).filter(code=code).first()
    if bidder is None:
        raise Http404
    timezone.activate(bidder.enquiry.project.time_zone)
    return bidder


def biddings_listed(person: User) -> QuerySet[Bidder]:
    """Return what `biddings_of` returns, with what was said about declining and the closing time.

    The closing time, `closes_at`, is that of the last issue: one that is being changed is nobody's yet.
    """
    last = Amendment.objects.filter(enquiry=OuterRef("enquiry")).order_by("-number")
    rows = biddings_of(person).prefetch_related("declinings")
    return rows.annotate(closes_at=Subquery(last.values("closes_at")[:1]))


def biddings_of(person: User) -> QuerySet[Bidder]:
    """Return the issued enquiries that a person may answer, for the organisation that named the person.

    The person must still be a bidder of the project: who has left it, or got another role, reads nothing.
    """
    still = Membership.objects.filter(user=person.pk, role=Role.BIDDER).values("project")
    return (
        Bidder.objects.filter(people=person.pk, enquiry__project__in=still, enquiry__amendments__number=0)
        .select_related("enquiry__project")
        .order_by("-enquiry__pk")
    )
