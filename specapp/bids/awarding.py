"""After the award: the letter of each bidder, and what was bought with where each value comes from."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo

from specapp.bids.comparing import compared
from specapp.bids.models import BASE, Bidder, Enquiry, Offer, Stage, StageSignature
from specapp.documents.bid_letters import BidLetter
from specapp.evaluation.requirements.criterion import criterion_text


@dataclass(frozen=True, slots=True)
class Bought:
    """One requirement as purchased; `origin` says whose words the value is, `decided` by whom and why."""

    key: str
    asked: str
    offered: str
    origin: str
    standing: str
    decided: str
    deviates: bool


def award_of(enquiry: Enquiry) -> StageSignature | None:
    """Return the signed award, None before there is one."""
    if enquiry.stage != Stage.AWARDED:
        return None
    rows = StageSignature.objects.filter(enquiry=enquiry, stage=Stage.AWARDED)
    return rows.select_related("offer__bidder").first()


def letter_of(bidder: Bidder, award: StageSignature) -> BidLetter:
    """Return the letter of one bidder; nothing of another goes into it."""
    enquiry = bidder.enquiry
    offer = award.offer
    chosen = offer is not None and offer.bidder_id == bidder.pk
    assert not chosen or offer is not None
    return BidLetter(
        reference=enquiry.reference,
        subject=enquiry.title,
        project=str(enquiry.project),
        to=bidder.name,
        contact=bidder.contact,
        date=award.at.astimezone(ZoneInfo(enquiry.project.time_zone)).date().isoformat(),
        sender=award.person_name,
        offer=_offer_words(offer) if chosen and offer is not None else "",
        standing="invented" if enquiry.project.is_invented else "sent",
    )


def _offer_words(offer: Offer) -> str:
    return "your base offer" if offer.label == BASE else f"your alternative {offer.label}"


def bought(enquiry: Enquiry, award: StageSignature) -> list[Bought]:
    """Return what was purchased, requirement by requirement, by the offer that the award names."""
    found = compared(enquiry)
    each = next(row for row in found.offers if row.offer.pk == award.offer_id)
    replies = {row.requirement: row for row in each.technical.replies}
    decisions = {row.requirement: row for row in each.offer.decisions.all() if row.agreed}
    lines = []
    for requirement in found.sheet.asked.requirements:
        reply, decision = replies.get(requirement.id), decisions.get(requirement.id)
        standing = each.standings[requirement.id]
        offered = "" if reply is None else ": ".join(text for text in (reply.claim, reply.offered) if text)
        origin = "no reply"
        if reply is not None:
            entered = reply.place == "entered"
            evidence = f", {reply.evidence}" if reply.evidence else ""
            origin = f"entered on its behalf{evidence}" if entered else f"the bidder's form{evidence}"
        lines.append(
            Bought(
                requirement.id,
                f"{requirement.title}: {criterion_text(requirement.criterion)}",
                offered,
                origin,
                standing,
                "" if decision is None else f"decided: {decision.reason or 'as proposed'}",
                standing not in ("comply", "with comment"),
            )
        )
    return lines
