"""What the check proposes for each offer and what people decided: standings, factors, acceptance."""

from dataclasses import dataclass
from typing import Any

import msgspec

from specapp.bids.models import Enquiry, Envelope, Offer, OfferContent, Part
from specapp.bids.sheets import descriptions_of, group_weights, issued_sheet
from specapp.domain.problems import InputErrors
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.replies.checking import OfferCheck, check_offer, group_factors, knocked_out
from specapp.evaluation.replies.failure_data import TripAnswer, device_data, trip_answers
from specapp.evaluation.replies.offer import Reply, Standing, TechnicalOffer
from specapp.evaluation.requirements.requirement import Requirement
from specapp.evaluation.technical import passes, technical_score
from specapp.rulebook.proposing import propose_document
from specapp.rulebook.safety_data import DEVICE_TITLES

_OF_OTHERS = frozenset(
    DEVICE_TITLES[name]
    for name in ("shutdown_logic", "driver_breaker", "trip_valve", "motor_relay", "control_system")
)


@dataclass(frozen=True, slots=True)
class JudgedOffer:
    """An opened offer: what it says, what the check proposes, what stands after people's decisions."""

    offer: Offer
    technical: TechnicalOffer
    check: OfferCheck
    standings: dict[str, Standing]
    factors: dict[str, float]
    score: float | None
    knocked_out: tuple[Requirement, ...]
    passes: bool


def latest_envelope(offer: Offer, part: str) -> Envelope | None:
    """Return the last file of a part that counts; its content is not loaded."""
    files = offer.envelopes.filter(part=part).defer("content")
    counted = [each for each in files if not each.is_late or each.late_accepted]
    return counted[-1] if counted else None


def technical_offer(offer: Offer) -> TechnicalOffer:
    """Return an offer's own answers with those entered on its behalf over them."""
    read = OfferContent.objects.filter(envelope__offer=offer, envelope__part=Part.TECHNICAL).last()
    return _with_entered(offer, read)


def _with_entered(offer: Offer, read: OfferContent | None) -> TechnicalOffer:
    own = msgspec.convert(read.content, TechnicalOffer, strict=False) if read else TechnicalOffer()
    entered = {
        row.requirement: Reply(
            row.requirement, row.claim, row.offered, f"{row.file}, page {row.page}", row.remark, "entered"
        )
        for row in offer.transcriptions.all()
    }
    kept = tuple(each for each in own.replies if each.requirement not in entered)
    return msgspec.structs.replace(own, replies=(*kept, *entered.values()))


def sheet_in_force(enquiry: Enquiry) -> EnquirySheet:
    """Return the enquiry as last issued; only one that was issued has offers."""
    amendment = enquiry.amendments.last()
    assert amendment is not None
    return issued_sheet(amendment)


def trips_with(enquiry: Enquiry, sheet: EnquirySheet, offer: TechnicalOffer) -> list[TripAnswer]:
    """Return the trips of every machine with the offered failure data; none where these are not whole."""
    data = device_data(sheet.asked.devices, offer.devices)
    if data.problems or not sheet.asked.devices:
        return []
    answers: list[TripAnswer] = []
    for tag, description in descriptions_of(enquiry.issue).items():
        devices = {**description.get("devices", {})}
        for name, told in data.devices.items():
            devices[name] = {**devices.get(name, {}), **told}
        try:
            proposal = propose_document({**description, "devices": devices})
        except InputErrors:
            return []
        answers += trip_answers(tag, proposal.safety_functions, _OF_OTHERS)
    return answers


def judged(enquiry: Enquiry, offer: Offer, sheet: EnquirySheet | None = None) -> JudgedOffer:
    """Return an offer held against the enquiry as last issued."""
    sheet = sheet or sheet_in_force(enquiry)
    read = OfferContent.objects.filter(envelope__offer=offer, envelope__part=Part.TECHNICAL).last()
    amendment = enquiry.amendments.last()
    return judged_from(enquiry, offer, sheet, amendment.terms if amendment else enquiry.terms, read)


def judged_from(
    enquiry: Enquiry, offer: Offer, sheet: EnquirySheet, terms: dict[str, Any], read: OfferContent | None
) -> JudgedOffer:
    """Return an offer held against a sheet by the terms it went out with; `read` is its form, if any."""
    technical = _with_entered(offer, read)
    check = check_offer(sheet.asked, technical, trips_with(enquiry, sheet, technical))
    standings: dict[str, Standing] = {each.requirement: each.standing for each in check.judgements}
    for row in offer.decisions.all():
        if row.agreed and row.requirement in standings:
            standings[row.requirement] = row.standing
    factors = group_factors(sheet.asked.requirements, standings)
    score = technical_score(group_weights(sheet.asked, terms), factors)
    knocked = knocked_out(sheet.asked.requirements, standings)
    reaches = passes(score, terms["settings"].get("pass_mark"))
    return JudgedOffer(
        offer, technical, check, standings, factors, score, knocked, passes=reaches and not knocked
    )


def opened_offers(enquiry: Enquiry) -> list[Offer]:
    """Return the offers whose technical file has been opened."""
    return list(
        Offer.objects.filter(
            bidder__enquiry=enquiry, envelopes__part=Part.TECHNICAL, envelopes__opened_at__isnull=False
        )
        .select_related("bidder")
        .distinct()
    )


def acceptable_offers(enquiry: Enquiry) -> list[Offer]:
    """Return the opened offers that reach the pass mark and meet every knock-out."""
    sheet = sheet_in_force(enquiry)
    return [offer for offer in opened_offers(enquiry) if judged(enquiry, offer, sheet).passes]
