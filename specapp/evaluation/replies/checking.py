"""A whole technical offer held against everything asked."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum

import msgspec

from specapp.evaluation.replies.bill import BillLineCheck, bill_checks
from specapp.evaluation.replies.clarifying import question
from specapp.evaluation.replies.contradictions import contradictions
from specapp.evaluation.replies.failure_data import DeviceData, TripAnswer, device_data, reliability_found
from specapp.evaluation.replies.judging import judge
from specapp.evaluation.replies.offer import FACTORS, Judgement, Standing, TechnicalOffer
from specapp.evaluation.requirements.requirement import Requirement, RequirementSet

_KNOCKED: tuple[Standing, ...] = ("partial", "deviate", "no reply")


class OfferCheck(msgspec.Struct, frozen=True):
    """What the check proposes for one offer; `unknown` are replies to nothing that was asked."""

    judgements: tuple[Judgement, ...]
    bill: tuple[BillLineCheck, ...]
    failure_data: DeviceData
    unknown: tuple[str, ...]


def check_offer(asked: RequirementSet, offer: TechnicalOffer, trips: Sequence[TripAnswer] = ()) -> OfferCheck:
    """Return the proposed standing of every requirement, the bill compared, and what speaks against itself.

    `trips` are the trips of the machines calculated with `device_data` of this offer; without them trip
    reliability stays open.
    """
    replies = {reply.requirement: reply for reply in offer.replies}
    data = device_data(asked.devices, offer.devices)
    judgements = [
        reliability_found(requirement, data, trips)
        if requirement.criterion.kind == "trip_reliability"
        else judge(requirement, replies.get(requirement.id))
        for requirement in asked.requirements
    ]
    against = contradictions(asked, offer, judgements)
    known = {requirement.id for requirement in asked.requirements}
    return OfferCheck(
        judgements=tuple(
            _with_contradictions(requirement, judgement, against.get(judgement.requirement, []), offer)
            for requirement, judgement in zip(asked.requirements, judgements, strict=True)
        ),
        bill=bill_checks(asked.bill, offer.items),
        failure_data=data,
        unknown=tuple(key for key in replies if key not in known),
    )


def _with_contradictions(
    requirement: Requirement, judgement: Judgement, against: list[str], offer: TechnicalOffer
) -> Judgement:
    """Return a judgement with what speaks against it: at best a comment, and a question."""
    if not against:
        return judgement
    reply = next((each for each in offer.replies if each.requirement == requirement.id), None)
    ask = judgement.question or question(
        requirement, reply, f"the offer says different things. {' '.join(against)}"
    )
    return msgspec.structs.replace(
        judgement,
        standing="with comment" if judgement.standing == "comply" else judgement.standing,
        contradictions=tuple(against),
        question=ask,
        until_clarified=True,
    )


def knocked_out(
    requirements: Sequence[Requirement], standings: dict[str, Standing]
) -> tuple[Requirement, ...]:
    """Return the knock-out requirements that an offer does not meet."""
    return tuple(
        each for each in requirements if each.knock_out and standings.get(each.id, "no reply") in _KNOCKED
    )


def group_factors(requirements: Sequence[Requirement], standings: dict[str, Standing]) -> dict[str, float]:
    """Return the factor of each group, 0 to 1: weights of its requirements times what their standing counts.

    A requirement without a standing counts as no reply. A group whose weights are all zero counts in full.
    """
    groups: dict[str, list[tuple[float, float]]] = {}
    for each in requirements:
        factor = FACTORS[standings.get(each.id, "no reply")]
        groups.setdefault(each.group, []).append((each.weight, factor))
    return {
        group: fsum(weight * factor for weight, factor in rows) / total
        if (total := fsum(weight for weight, _ in rows))
        else 1.0
        for group, rows in groups.items()
    }
