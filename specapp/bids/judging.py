"""What the check proposes for each offer and what people decided: standings, factors, acceptance."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Prefetch, TextField, prefetch_related_objects
from django.db.models.functions import Cast

from specapp.bids.checks import Basis, basis_of, checked, with_entered
from specapp.bids.models import Bidder, Decision, Enquiry, Envelope, Offer, OfferContent, Part, Transcription
from specapp.bids.sheets import group_weights, issued_sheet
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.replies.checking import OfferCheck, group_factors, knocked_out
from specapp.evaluation.replies.offer import Reply, Standing, TechnicalOffer
from specapp.evaluation.requirements.requirement import Requirement, RequirementSet
from specapp.evaluation.technical import passes, technical_score


@dataclass(frozen=True, slots=True)
class JudgedOffer:
    """An opened offer: what it says, what the check proposes, what stands after people's decisions."""

    offer: Offer
    asked: RequirementSet
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


def technical_offers(bidders: Sequence[Bidder]) -> Iterator[TechnicalOffer]:
    """Yield what each offer of these bidders answers, with what was entered on its behalf over it."""
    offers = list(Offer.objects.filter(bidder__in=bidders).prefetch_related("transcriptions"))
    said = said_by(offers)
    for offer in offers:
        yield with_entered(said.get(offer.pk, ""), entered_for(offer))


def said_by(offers: Sequence[Offer]) -> dict[int, str]:
    """Return what was read last of the technical part of each offer, as JSON, in one query."""
    rows = OfferContent.objects.filter(envelope__offer__in=offers, envelope__part=Part.TECHNICAL)
    # As text: what was worked out of it is looked up by the text, and only what is new is read.
    return dict(
        rows.annotate(said=Cast("content", TextField())).order_by("pk").values_list("envelope__offer", "said")
    )


def entered_for(offer: Offer) -> tuple[Reply, ...]:
    """Return the replies entered on a bidder's behalf, with the file and page they stand on."""
    return tuple(
        Reply(row.requirement, row.claim, row.offered, f"{row.file}, page {row.page}", row.remark, "entered")
        for row in offer.transcriptions.all()
    )


def sheet_in_force(enquiry: Enquiry) -> EnquirySheet:
    """Return the enquiry as last issued; only one that was issued has offers."""
    return in_force(enquiry)[0]


def in_force(enquiry: Enquiry) -> tuple[EnquirySheet, dict[str, Any]]:
    """Return the enquiry as last issued, and the terms it went out with."""
    amendment = enquiry.amendments.last()
    assert amendment is not None
    return issued_sheet(amendment), amendment.terms


def judged(enquiry: Enquiry, offer: Offer) -> JudgedOffer:
    """Return one offer held against the enquiry as last issued; `comparing.compared` judges all."""
    sheet, terms = in_force(enquiry)
    return _judged(basis_of(enquiry, sheet), offer, sheet, terms, said_by([offer]).get(offer.pk, ""))


def judged_all(enquiry: Enquiry, sheet: EnquirySheet, terms: dict[str, Any]) -> list[JudgedOffer]:
    """Return every opened offer held against a sheet, in a fixed number of queries."""
    offers = opened_offers(enquiry)
    prefetch_related_objects(
        offers,
        Prefetch("transcriptions", Transcription.objects.order_by("pk")),
        Prefetch("decisions", Decision.objects.order_by("pk")),
    )
    said, basis = said_by(offers), basis_of(enquiry, sheet)
    return [_judged(basis, offer, sheet, terms, said.get(offer.pk, "")) for offer in offers]


def _judged(basis: Basis, offer: Offer, sheet: EnquirySheet, terms: dict[str, Any], said: str) -> JudgedOffer:
    """Return an offer held against a sheet by the terms it went out with; `said` is its form, if any."""
    found = checked(basis, said, entered_for(offer))
    standings: dict[str, Standing] = {each.requirement: each.standing for each in found.check.judgements}
    for row in offer.decisions.all():
        if row.agreed and row.requirement in standings:
            standings[row.requirement] = row.standing
    factors = group_factors(sheet.asked.requirements, standings)
    score = technical_score(group_weights(sheet.asked, terms), factors)
    knocked = knocked_out(sheet.asked.requirements, standings)
    reaches = passes(score, terms["settings"].get("pass_mark"))
    return JudgedOffer(
        offer,
        sheet.asked,
        found.technical,
        found.check,
        standings,
        factors,
        score,
        knocked,
        passes=reaches and not knocked,
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
