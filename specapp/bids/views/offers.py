"""One offer held against the enquiry, once its technical part is open."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from specapp.bids.access import enquiry_or_404, envelope_or_404, offer_or_404
from specapp.bids.errors import Refused
from specapp.bids.judging import judged, latest_envelope, opened_offers
from specapp.bids.models import Enquiry, Offer, Part
from specapp.bids.services.evaluating import form_read
from specapp.bids.services.receiving import price_refusal_record
from specapp.bids.views.common import CONFLICT, UNPROCESSABLE, page
from specapp.core.roles import Right
from specapp.domain.problems import InputErrors
from specapp.evaluation.requirements.criterion import criterion_text
from specapp.evaluation.requirements.requirement import group_title
from specapp.projects.access import Access

SHOWN = ("all", "differs", "clarify", "contradicts", "must", "decided")
_FILTERS = {
    "all": "all",
    "differs": "not complying",
    "clarify": "to be clarified",
    "contradicts": "contradictions",
    "must": "knock-outs not met",
    "decided": "decided",
}


@require_POST
def file_read(request: HttpRequest, project_id: int, enquiry_id: int, envelope_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.EVALUATE)
    envelope = envelope_or_404(enquiry, envelope_id, opened=True)
    try:
        form_read(envelope=envelope, author=request.user, now=timezone.now())
    except InputErrors as errors:
        price_refusal_record(
            envelope=envelope, problems=errors.problems, author=request.user, now=timezone.now()
        )
        return _offer_page(request, access, enquiry, envelope.offer, UNPROCESSABLE, problems=errors.problems)
    except Refused as refused:
        return _offer_page(request, access, enquiry, envelope.offer, CONFLICT, problem=refused.text)
    messages.success(request, "The form was read as a whole.")
    return redirect("bids:offer-show", access.project.pk, enquiry.pk, envelope.offer_id)


@require_safe
def offer_show(request: HttpRequest, project_id: int, enquiry_id: int, offer_id: int) -> HttpResponse:
    access, enquiry = enquiry_or_404(request, project_id, enquiry_id, Right.READ_BIDS)
    return _offer_page(request, access, enquiry, offer_or_404(enquiry, offer_id))


def opened_or_403(enquiry: Enquiry, offer: Offer) -> None:
    if offer not in opened_offers(enquiry):
        raise PermissionDenied("This offer is sealed until its technical part is opened.")


def _offer_page(
    request: HttpRequest, access: Access, enquiry: Enquiry, offer: Offer, status: int = 200, **context: Any
) -> HttpResponse:
    opened_or_403(enquiry, offer)
    found = judged(enquiry, offer)
    shown = request.GET.get("show", "all")
    shown = shown if shown in SHOWN else "all"
    decided = {row.requirement for row in offer.decisions.all() if row.agreed}
    missed = {each.id for each in found.knocked_out}
    replies = {each.requirement: each for each in found.technical.replies}
    counts = dict.fromkeys(SHOWN, 0)
    groups: dict[str, list[Any]] = {}
    for requirement, judgement in zip(found.asked.requirements, found.check.judgements, strict=True):
        standing = found.standings[requirement.id]
        kinds = {"all"}
        kinds |= {"differs"} if standing not in ("comply", "with comment") else set()
        kinds |= {"clarify"} if judgement.question else set()
        kinds |= {"contradicts"} if judgement.contradictions else set()
        kinds |= {"must"} if requirement.id in missed else set()
        kinds |= {"decided"} if requirement.id in decided else set()
        for kind in kinds:
            counts[kind] += 1
        if shown in kinds:
            row = (
                requirement,
                criterion_text(requirement.criterion),
                replies.get(requirement.id),
                judgement,
                standing,
            )
            groups.setdefault(requirement.group, []).append((*row, requirement.id in decided))
    technical = latest_envelope(offer, Part.TECHNICAL)
    context = {
        "offer": offer,
        "found": found,
        "groups": [(group_title(key), found.factors.get(key), rows) for key, rows in groups.items()],
        "filters": [(key, title, counts[key]) for key, title in _FILTERS.items()],
        "shown": shown,
        "technical": technical,
        "files": offer.envelopes.filter(opened_at__isnull=False).defer("content"),
        "bill": [each for each in found.check.bill if each.difference != "as asked"],
        "bill_count": len(found.check.bill),
        **context,
    }
    return page(request, access, enquiry, "offer", status, **context)
