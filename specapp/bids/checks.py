"""What the check proposes for an offer: worked out once for what it rests on, and kept in memory.

What is kept is found by everything that the check reads, whole and not by the name of a row: what is asked,
the offer's own answers as they were read, the replies entered on its behalf, and the checksums of the frozen
contents of the machines. None of these can change without being another key, so nothing is ever thrown away
because it grew old: after an amendment, a form read anew or a reply entered another key is asked for. The
rules themselves change with the process.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from threading import Lock
from typing import Any

import msgspec

from specapp.bids.models import Enquiry
from specapp.domain.overrides import Override
from specapp.domain.problems import InputErrors
from specapp.domain.proposal import Proposal
from specapp.domain.reading import read_machine
from specapp.evaluation.enquiry import EnquirySheet
from specapp.evaluation.replies.checking import OfferCheck, check_offer
from specapp.evaluation.replies.clarifying import question
from specapp.evaluation.replies.failure_data import TripAnswer, device_data, trip_answers
from specapp.evaluation.replies.offer import Judgement, OfferedDevice, Reply, TechnicalOffer
from specapp.evaluation.requirements.requirement import RequirementSet
from specapp.evaluation.requirements.supplied import DEVICES_OF_OTHERS
from specapp.projects.deciding.ground import criterion_values
from specapp.projects.models import ProjectCriterion
from specapp.projects.worked import criteria_for
from specapp.revisions.content import Content, content_of
from specapp.rulebook.proposing import propose_description, reading_context
from specapp.rulebook.safety_data import DEVICE_TITLES

# Two enquiries of twenty bidders, and some to spare: an offer of 300 replies takes a few hundred kB.
_KEPT_CHECKS = 64
_KEPT_TRIPS = 256
# Whoever asks for what another thread is working out waits for it.
_WORKING = tuple(Lock() for _ in range(16))
_OF_OTHERS = frozenset(DEVICE_TITLES[name] for name in DEVICES_OF_OTHERS)


@dataclass(frozen=True, slots=True)
class Basis:
    """What every offer of an enquiry is held against: what is asked, as JSON, and the frozen machines."""

    asked: bytes
    machines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Checked:
    """An offer as it counts, its own answers with those entered over them, and what the check proposes."""

    technical: TechnicalOffer
    check: OfferCheck


def basis_of(enquiry: Enquiry, sheet: EnquirySheet) -> Basis:
    """Return what the offers of an enquiry are held against, in one query."""
    rows = enquiry.issue.revisions.order_by("machine__tag", "pk").values_list("content", flat=True)
    return Basis(msgspec.json.encode(sheet.asked), tuple(rows))


def checked(basis: Basis, said: str, entered: tuple[Reply, ...]) -> Checked:
    """Return an offer held against a basis; `said` is its form as read, JSON, or nothing."""
    with _WORKING[hash((said, entered)) % len(_WORKING)]:
        return _checked(basis.asked, basis.machines, said, entered)


@lru_cache(maxsize=_KEPT_CHECKS)
def _checked(asked: bytes, machines: tuple[str, ...], said: str, entered: tuple[Reply, ...]) -> Checked:
    what = _asked(asked)
    technical = with_entered(said, entered)
    try:
        check = check_offer(what, technical, trips_with(machines, what, technical))
    except InputErrors as errors:
        check = _trips_left_open(what, check_offer(what, technical), errors)
    return Checked(technical, check)


@lru_cache(maxsize=4)
def _asked(document: bytes) -> RequirementSet:
    return msgspec.json.decode(document, type=RequirementSet)


def with_entered(said: str, entered: Sequence[Reply]) -> TechnicalOffer:
    """Return an offer's own answers with those entered on its behalf over them."""
    own = msgspec.json.decode(said, type=TechnicalOffer, strict=False) if said else TechnicalOffer()
    told = {each.requirement for each in entered}
    kept = tuple(each for each in own.replies if each.requirement not in told)
    return msgspec.structs.replace(own, replies=(*kept, *entered))


def trips_with(machines: Sequence[str], asked: RequirementSet, offer: TechnicalOffer) -> list[TripAnswer]:
    """Return the trips of every machine with the offered failure data; none where these are not whole.

    Raises `InputErrors` where a machine cannot be described with them.
    """
    if not asked.devices or device_data(asked.devices, offer.devices).problems:
        return []
    return [answer for checksum in machines for answer in _trips(checksum, asked.devices, _told(offer))]


def _told(offer: TechnicalOffer) -> bytes:
    """Return the offered failure data as JSON, the same for offers of the same devices."""
    return msgspec.json.encode([(each.device, each.values) for each in offer.devices], order="deterministic")


@lru_cache(maxsize=_KEPT_TRIPS)
def _trips(checksum: str, devices: tuple[str, ...], told: bytes) -> tuple[TripAnswer, ...]:
    offered = [OfferedDevice(name, values) for name, values in msgspec.json.decode(told)]
    content = content_of(checksum)
    description = {**content.description, "devices": {**content.description.get("devices", {})}}
    for name, values in device_data(devices, offered).devices.items():
        description["devices"][name] = {**description["devices"].get(name, {}), **values}
    proposal = _proposal(content, description)
    return tuple(trip_answers(str(proposal.machine["tag"]), proposal.safety_functions, _OF_OTHERS))


def _proposal(content: Content, description: dict[str, Any]) -> Proposal:
    """Return the proposal of a description under the criteria and overrides it was frozen with.

    What a project sets later is not what the bidders were asked for.
    """
    criteria = criteria_for(criterion_values(map(_criterion, content.criteria)))
    overrides = [
        Override(
            row["item"],
            row["field"],
            row["value"],
            row["reason"],
            row["author"],
            row["written_at"],
            row["rule_value"],
            row["speed_rpm"],
            row.get("moved_from", ""),
            row.get("moved_from_place"),
        )
        for row in content.overrides
    ]
    machine = read_machine(msgspec.json.encode(description), reading_context(criteria))
    return propose_description(machine, criteria, overrides)


def _criterion(row: dict[str, Any]) -> ProjectCriterion:
    dated = date.fromisoformat(row["dated"]) if row["dated"] else None
    return ProjectCriterion(
        key=row["key"], value=row["value"], reason=row["reason"], source=row["source"], dated=dated
    )


def _trips_left_open(asked: RequirementSet, check: OfferCheck, errors: InputErrors) -> OfferCheck:
    """Return a check whose trip reliability is not compliant until somebody says how to calculate it."""
    why = [f"{each.line()}." for each in errors.problems]
    judgements = [
        Judgement(
            requirement.id,
            "no reply",
            ("Not compliant until clarified: no trip can be calculated with these failure data.", *why),
            question(requirement, None, " ".join(why)),
            until_clarified=True,
        )
        if requirement.criterion.kind == "trip_reliability"
        else judgement
        for requirement, judgement in zip(asked.requirements, check.judgements, strict=True)
    ]
    return msgspec.structs.replace(check, judgements=tuple(judgements))
