"""After the opening: forms read, replies entered on a bidder's behalf, questions, decisions, signatures.

Where evaluators decide blind to each other, the record holds a seal in place of a figure of one's own: it is
read by owners, who may be evaluators too. The figures stand there once the technical decisions are signed.
"""

import hashlib
from datetime import datetime
from secrets import token_urlsafe
from typing import Any

import msgspec
from django.db import transaction
from django.db.models import Max
from django.utils.crypto import salted_hmac

from specapp.bids.comparing import compared
from specapp.bids.errors import Refused
from specapp.bids.judging import judged, opened_offers, sheet_in_force
from specapp.bids.models import (
    Bidder,
    Clarification,
    Decision,
    Enquiry,
    Envelope,
    Offer,
    OfferContent,
    Part,
    Stage,
    StageSignature,
    Transcription,
)
from specapp.bids.services.passwords import password_check
from specapp.bids.services.reporting import reports_keep
from specapp.bids.sheets import issued_sheet
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import InputErrors
from specapp.evaluation.offers_read import read_price, read_technical
from specapp.evaluation.replies.offer import CLAIMS, FACTORS

_ORDER = {Stage.RECOMMENDED: Stage.PRICED, Stage.AWARDED: Stage.RECOMMENDED, Stage.DECIDED: Stage.OPENED}


def _record(
    enquiry: Enquiry, author: User, action: str, subject: Any, now: datetime, data: dict[str, Any]
) -> None:
    entry_append(
        author=author, action=action, subject=subject, now=now, project_id=enquiry.project_id, data=data
    )


@transaction.atomic
def form_read(*, envelope: Envelope, author: User, now: datetime) -> OfferContent:
    """Read an opened form, whole or not at all.

    Raises `Refused` for a sealed file, `InputErrors` with every problem at its cell.
    """
    if envelope.opened_at is None:
        raise Refused("This file is sealed.")
    if envelope.part == Part.TECHNICAL and envelope.offer.bidder.enquiry.stage != Stage.OPENED:
        raise Refused("The technical decisions are signed: what they rest on does not change any more.")
    read = read_technical if envelope.part == Part.TECHNICAL else read_price
    content = read(bytes(envelope.content), issued_sheet(envelope.amendment))
    row, _ = OfferContent.objects.update_or_create(
        envelope=envelope, defaults={"content": msgspec.to_builtins(content), "read_at": now}
    )
    _record(envelope.offer.bidder.enquiry, author, "offer.read", envelope, now, {"sha256": envelope.sha256})
    return row


@transaction.atomic
def reply_transcribe(
    *, offer: Offer, requirement: str, told: dict[str, str], author: User, now: datetime
) -> Transcription:
    """Enter a reply on a bidder's behalf; file and page are its evidence. Raises `Refused`."""
    enquiry = offer.bidder.enquiry
    _undecided(enquiry)
    if offer not in opened_offers(enquiry):
        raise Refused("The technical offer has not been opened.")
    if requirement not in {each.id for each in sheet_in_force(enquiry).asked.requirements}:
        raise Refused("Nothing of that name was asked.")
    if told.get("claim") and told["claim"] not in CLAIMS:
        raise Refused(f"A reply is one of: {', '.join(CLAIMS)}.")
    row = Transcription.objects.filter(offer=offer, requirement=requirement).first()
    row = row or Transcription(offer=offer, requirement=requirement)
    for name in ("claim", "offered", "remark", "file", "page"):
        setattr(row, name, told.get(name, "").strip())
    row.entered_at, row.entered_by = now, author
    row.version = (row.version or 0) + (1 if row.pk else 0)
    row.full_clean()
    row.save()
    _record(
        enquiry,
        author,
        "offer.transcribe",
        row,
        now,
        {"requirement": requirement, "file": row.file, "page": row.page},
    )
    return row


def _undecided(enquiry: Enquiry) -> None:
    if enquiry.stage != Stage.OPENED:
        raise Refused(f"The enquiry is {enquiry.get_stage_display()}: replies and decisions are not changed.")


@transaction.atomic
def clarification_ask(
    *, bidders: list[Bidder], requirement: str, question: str, author: User, now: datetime
) -> list[Clarification]:
    """Ask one bidder, or the same question of several: each gets a number of its own sequence."""
    if not question.strip():
        raise Refused("A question has words.")
    scope = token_urlsafe(16) if len(bidders) > 1 else ""
    asked = []
    for bidder in bidders:
        last = bidder.clarifications.aggregate(last=Max("number"))["last"] or 0
        row = Clarification(
            bidder=bidder,
            number=last + 1,
            requirement=requirement,
            question=question.strip(),
            scope=scope,
            asked_at=now,
            asked_by=author,
        )
        row.full_clean()
        row.save()
        asked.append(row)
        _record(bidder.enquiry, author, "clarification.ask", row, now, {"requirement": requirement})
    return asked


@transaction.atomic
def clarification_answer(
    *, clarification: Clarification, answer: str, evidence: str, author: User, now: datetime
) -> Clarification:
    """Record the answer, once."""
    row = Clarification.objects.select_for_update().select_related("bidder__enquiry").get(pk=clarification.pk)
    if row.answered_at is not None:
        raise Refused("This question has its answer.")
    if not answer.strip():
        raise Refused("An answer has words.")
    row.answer, row.evidence, row.answered_at, row.answered_by = answer.strip(), evidence.strip(), now, author
    row.full_clean()
    row.save()
    _record(row.bidder.enquiry, author, "clarification.answer", row, now, {"number": row.number})
    return row


@transaction.atomic
def decision_put(
    *, offer: Offer, requirement: str, standing: str, reason: str, agreed: bool, author: User, now: datetime
) -> Decision:
    """Decide about a reply; with a reason where it differs from the proposal. Raises `Refused`."""
    enquiry = offer.bidder.enquiry
    _undecided(enquiry)
    if standing not in FACTORS:
        raise Refused(f"A standing is one of: {', '.join(FACTORS)}.")
    check = judged(enquiry, offer).check
    proposed = next((each.standing for each in check.judgements if each.requirement == requirement), None)
    if proposed is None:
        raise Refused("Nothing of that name was asked.")
    if standing != proposed and not reason.strip():
        raise Refused(f"The check proposes {proposed}: say why it is decided otherwise.")
    if agreed and enquiry.blind_evaluation and not may_agree(offer, requirement):
        raise Refused(
            "Two people decide for themselves first, each without the other's figure; then one is agreed."
        )
    key: dict[str, Any] = {"offer": offer, "requirement": requirement, "agreed": agreed}
    if not agreed:
        key["person"] = author
    row = Decision.objects.filter(**key).first() or Decision(**key)
    is_own = enquiry.blind_evaluation and not agreed
    if is_own and row.pk and may_agree(offer, requirement):
        raise Refused(
            "Both figures have been seen: yours stays as you decided it alone. What changes now is the "
            "figure that is agreed."
        )
    row.person, row.standing, row.proposed, row.reason, row.at = (
        author,
        standing,
        proposed,
        reason.strip(),
        now,
    )
    row.full_clean()
    row.save()
    if is_own:
        told = {"requirement": requirement, "sealed until the technical decisions are signed": _seal(row)}
        _record(enquiry, author, "offer.decide", offer, now, told)
    else:
        told = {"requirement": requirement, "standing": standing, "proposed": proposed, "reason": row.reason}
        _record(enquiry, author, "offer.decide", row, now, told)
    return row


def _seal(row: Decision) -> str:
    """Return what ties a figure of one's own to the record; it tells nothing without the secret key."""
    told = [row.offer_id, row.requirement, row.person_id, row.standing, row.proposed, row.reason]
    return salted_hmac("bids.own_figure", msgspec.json.encode(told), algorithm="sha256").hexdigest()


def _own_figures_record(enquiry: Enquiry, author: User, now: datetime) -> None:
    """Put every figure that somebody decided alone into the record, an entry an offer."""
    rows = Decision.objects.filter(offer__bidder__enquiry=enquiry, agreed=False)
    figures: dict[Offer, dict[str, Any]] = {}
    for row in rows.select_related("offer__bidder", "person").order_by("offer", "requirement", "pk"):
        figures.setdefault(row.offer, {})[f"{row.requirement}, {row.person}"] = {
            "standing": row.standing,
            "proposed": row.proposed,
            "reason": row.reason,
            "seal": _seal(row),
        }
    for offer, told in figures.items():
        _record(enquiry, author, "offer.own_figures", offer, now, told)


def may_agree(offer: Offer, requirement: str) -> bool:
    """Tell whether two people have decided for themselves about a reply."""
    own = Decision.objects.filter(offer=offer, requirement=requirement, agreed=False)
    return own.values("person").distinct().count() > 1


def stage_sign(
    *,
    enquiry: Enquiry,
    stage: str,
    offer: Offer | None,
    text: str,
    person: User,
    password: str,
    now: datetime,
) -> StageSignature:
    """Sign the technical decisions, the recommendation or the award. Raises `Refused` out of turn."""
    if stage not in _ORDER:
        raise Refused("That step is not signed.")
    password_check(enquiry, person, password, stage, now)
    with transaction.atomic():
        row = Enquiry.objects.select_for_update().get(pk=enquiry.pk)
        if row.stage != _ORDER[Stage(stage)]:
            raise Refused(
                f"The enquiry is {row.get_stage_display()}: {Stage(stage).label} is not its next step."
            )
        if stage != Stage.DECIDED and (offer is None or offer.bidder.enquiry_id != row.pk):
            raise Refused("Name the offer.")
        standings = {str(each.offer): each.standings for each in compared(row).offers}
        checksum = hashlib.sha256(msgspec.json.encode(standings, order="deterministic")).hexdigest()
        signature = StageSignature.objects.create(
            enquiry=row,
            stage=stage,
            offer=offer,
            text=text.strip(),
            checksum=checksum,
            person=person,
            person_name=person.get_full_name()[:200],
            at=now,
        )
        row.stage = stage
        row.version += 1
        row.save(update_fields=["stage", "version"])
        _record(row, person, "enquiry.sign", row, now, {"stage": stage, "checksum": checksum})
        if row.blind_evaluation and stage == Stage.DECIDED:
            _own_figures_record(row, person, now)
        if stage == Stage.RECOMMENDED:
            _report_kept(row, person, now)
    return signature


def _report_kept(enquiry: Enquiry, author: User, now: datetime) -> None:
    try:
        reports_keep(enquiry=enquiry, author=author, now=now)
    except InputErrors as errors:
        told = "; ".join(each.line() for each in errors.problems)
        raise Refused(f"The offers cannot be evaluated, so none is recommended. {told}") from errors
