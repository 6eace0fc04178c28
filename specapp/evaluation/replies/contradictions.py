"""What an offer says in two places differently."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from specapp.evaluation.replies.matching import markings_of
from specapp.evaluation.replies.offer import Judgement, Reply, TechnicalOffer
from specapp.evaluation.replies.quantities import Unreadable, read_offered
from specapp.evaluation.requirements.requirement import Requirement, RequirementSet
from specapp.kernel.errors import DomainError
from specapp.kernel.hazardous_area import parse_marking

_DEVIATIONS = "DOC-02"
_SUPPLIES = "POW-01"
_ELECTRONICS = "ENV-03"
_MARKING = "ARE-01"


def contradictions(
    asked: RequirementSet, offer: TechnicalOffer, judgements: Sequence[Judgement]
) -> dict[str, list[str]]:
    """Return what each requirement's reply says that another part of the offer denies."""
    found: dict[str, list[str]] = {}
    requirements = {each.id: each for each in asked.requirements}
    replies = {each.requirement: each for each in offer.replies}
    parts = (
        _twice(offer),
        _counts(requirements, replies, offer),
        _listed(replies, offer),
        _supplies(requirements, replies, offer),
        _markings(replies, offer),
        _ambients(requirements, replies),
    )
    for part in parts:
        for requirement, text in part:
            found.setdefault(requirement, []).append(text)
    for judgement in judgements:
        if judgement.contradictions:
            found.setdefault(judgement.requirement, [])[:0] = judgement.contradictions
    return found


def _twice(offer: TechnicalOffer) -> Iterator[tuple[str, str]]:
    for requirement, times in Counter(reply.requirement for reply in offer.replies).items():
        if times > 1:
            yield requirement, f"There are {times} replies to it."


def _counts(
    requirements: dict[str, Requirement], replies: dict[str, Reply], offer: TechnicalOffer
) -> Iterator[tuple[str, str]]:
    """A count in the reply against the quantity of the same item in the bill."""
    for item in offer.items:
        requirement = requirements.get(f"MEA-01/{item.key}")
        reply = replies.get(f"MEA-01/{item.key}")
        if requirement is None or reply is None or item.quantity is None or not reply.offered:
            continue
        try:
            said = read_offered(reply.offered, requirement.criterion).high
        except Unreadable:
            continue
        if said != item.quantity:
            yield requirement.id, f"The reply says {said:g}, the bill {item.quantity:g}."


def _listed(replies: dict[str, Reply], offer: TechnicalOffer) -> Iterator[tuple[str, str]]:
    """Deviations in the replies against the list of deviations."""
    listed = {each.requirement for each in offer.deviations if each.requirement}
    for requirement in sorted(listed):
        reply = replies.get(requirement)
        if reply is not None and reply.claim == "complies":
            yield requirement, "The list of deviations has it, the reply says it complies."
    for requirement, reply in replies.items():
        if reply.claim == "deviates" and requirement not in listed:
            yield requirement, "The reply deviates, the list of deviations does not have it."
    said = replies.get(_DEVIATIONS)
    says_none = said is not None and said.offered.strip(" .").casefold() in (
        "none",
        "no deviations",
        "nil",
        "no",
    )
    if says_none and (offer.deviations or any(each.claim == "deviates" for each in replies.values())):
        yield _DEVIATIONS, "It says none, yet there are deviations in the offer."


def _supplies(
    requirements: dict[str, Requirement], replies: dict[str, Reply], offer: TechnicalOffer
) -> Iterator[tuple[str, str]]:
    quantity = {item.key: item.quantity for item in offer.items}
    racks, supplies = quantity.get("monitor_rack"), quantity.get("power_supply")
    reply, requirement = replies.get(_SUPPLIES), requirements.get(_SUPPLIES)
    if not racks or supplies is None or reply is None or requirement is None:
        return
    try:
        said = read_offered(reply.offered, requirement.criterion).low
    except Unreadable:
        return
    if supplies < said * racks:
        yield _SUPPLIES, f"The reply says {said:g} a rack, the bill has {supplies:g} for {racks:g} racks."


def _markings(replies: dict[str, Reply], offer: TechnicalOffer) -> Iterator[tuple[str, str]]:
    """Markings beside the failure data against the marking of the reply: group and temperature class."""
    reply = replies.get(_MARKING)
    if reply is None:
        return
    said = {_group_and_class(marking) for marking in markings_of(reply.offered)} - {None}
    for device in offer.devices:
        own = _group_and_class(device.marking) if device.marking else None
        if own is not None and said and own not in said:
            words = device.device.replace("_", " ")
            yield (
                _MARKING,
                f"The reply gives another group or temperature class than the {words}: {own[0]} {own[1]}.",
            )


def _group_and_class(marking: str) -> tuple[str, str] | None:
    try:
        parsed = parse_marking(marking)
    except DomainError:
        return None
    return (parsed.group or "", parsed.temperature_class or "")


def _ambients(requirements: dict[str, Requirement], replies: dict[str, Reply]) -> Iterator[tuple[str, str]]:
    """The temperature range of the electronics against the ambient that their marking permits."""
    reply, marked, requirement = (
        replies.get(_ELECTRONICS),
        replies.get(_MARKING),
        requirements.get(_ELECTRONICS),
    )
    if reply is None or marked is None or requirement is None:
        return
    try:
        offered = read_offered(reply.offered, requirement.criterion)
    except Unreadable:
        return
    for marking in markings_of(marked.offered):
        try:
            parsed = parse_marking(marking)
        except DomainError:
            continue
        highest = parsed.ambient_maximum_c if parsed.ambient_maximum_c is not None else 40.0
        if parsed.protections and offered.high > highest:
            text = (
                f"Works up to {offered.high:g} °C, but its marking “{marking[:60]}” ends at {highest:g} °C."
            )
            yield _ELECTRONICS, text
