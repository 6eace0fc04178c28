"""Questions to bidders that tell none of them anything about another."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from specapp.bids.judging import JudgedOffer, technical_offers
from specapp.bids.models import Bidder, Clarification, Enquiry
from specapp.evaluation.replies.clarifying import wanted
from specapp.evaluation.requirements.requirement import Requirement

_SHORTEST = 4  # a figure such as "3 %" is anybody's
_LONG = 16


def question_to_all(requirement: Requirement) -> str:
    """Return the question about a requirement that fits every bidder: it holds nobody's reply."""
    return (
        f"{requirement.id} {requirement.title}. Asked: {requirement.text} Please say what you offer. "
        f"What counts as an answer: {wanted(requirement.criterion)}."
    )


def foreign_words(
    question: str, recipients: Iterable[Bidder], enquiry: Enquiry, requirement: Requirement | None
) -> str:
    """Return why a question may not go out, in words; empty where it may.

    No recipient may read another organisation's name, or what another has replied: its words about the
    same requirement, and long ones about any. What the requirement itself says is everybody's.
    """
    told, given = question.casefold(), list(recipients)
    asked = f"{requirement.title} {requirement.text}".casefold() if requirement else ""
    others = [each for each in enquiry.bidders.all() if len(given) > 1 or each not in given]
    named = [each.name for each in others if each.name.casefold() in told]
    if named:
        return f"It names {', '.join(named)}: no bidder learns who else is asked."
    for words in _replied(others, requirement.id if requirement else ""):
        if words in told and words not in asked:
            return f"It holds words of one bidder's reply, “{words}”: say it so that it fits everybody."
    return ""


def _replied(bidders: Sequence[Bidder], key: str) -> Iterator[str]:
    for offer in technical_offers(bidders):
        for reply in offer.replies:
            shortest = _SHORTEST if reply.requirement == key else _LONG
            yield from (text.casefold() for text in (reply.offered, reply.remark) if len(text) >= shortest)


def ready_questions(enquiry: Enquiry, judged: Iterable[JudgedOffer]) -> list[dict[str, Any]]:
    """Return the questions that vague and missing replies call for and that nobody has asked yet."""
    asked = set(Clarification.objects.filter(bidder__enquiry=enquiry).values_list("bidder", "requirement"))
    return [
        {
            "key": f"{found.offer.pk}:{each.requirement}",
            "bidder": found.offer.bidder,
            "offer": str(found.offer),
            "requirement": each.requirement,
            "question": each.question,
        }
        for found in judged
        for each in found.check.judgements
        if each.question and (found.offer.bidder_id, each.requirement) not in asked
    ]
