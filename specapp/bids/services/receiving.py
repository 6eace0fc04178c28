"""Files of offers as they arrive: sealed, late ones apart."""

import hashlib
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Max

from specapp.bids.comparing import acceptable_offers
from specapp.bids.errors import Refused
from specapp.bids.models import BASE, Bidder, Enquiry, Envelope, Offer, Part, Stage
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import Problem
from specapp.references.files import kept_file

ALTERNATIVES = (BASE, "A1", "A2", "A3")
_NO_PRICE = "no price in the technical file"
_TAKEN_WHILE = {Part.TECHNICAL: (Stage.ISSUED,), Part.PRICE: (Stage.ISSUED, Stage.OPENED)}


def takes_files(enquiry: Enquiry, part: str) -> bool:
    """Tell whether files of a part are taken: technical ones until the opening, prices until decided."""
    return enquiry.stage in _TAKEN_WHILE.get(Part(part), ())


@transaction.atomic
def envelope_receive(
    *,
    bidder: Bidder,
    label: str,
    part: str,
    name: str,
    data: bytes,
    on_behalf: bool,
    author: User,
    now: datetime,
) -> Envelope:
    """Keep a file sealed. One that arrives at or after the closing time is late.

    Raises `Refused` where nothing is taken any more and from a bidder that has declined, `InputErrors` for a
    file of no kind that is kept.
    What is inside is not looked at: only its kind, size and checksum.
    """
    enquiry = type(bidder.enquiry).objects.select_for_update().get(pk=bidder.enquiry_id)
    amendment = enquiry.amendments.last()
    if amendment is None or not takes_files(enquiry, part):
        raise Refused(f"The enquiry is {enquiry.get_stage_display()}: no such file is taken.")
    if bidder.declined is not None:
        raise Refused("This organisation has declined.")
    if label not in ALTERNATIVES:
        raise Refused(f"An offer is one of: {', '.join(ALTERNATIVES)}.")
    kept = kept_file(name, data)
    offer, _ = Offer.objects.get_or_create(bidder=bidder, label=label)
    last = offer.envelopes.filter(part=part).aggregate(last=Max("version"))["last"] or 0
    envelope = Envelope.objects.create(
        offer=offer,
        amendment=amendment,
        part=part,
        version=last + 1,
        name=kept.name,
        size=len(data),
        sha256=hashlib.sha256(data).hexdigest(),
        content=data,
        received_at=now,
        received_by=author,
        on_behalf=on_behalf,
        is_late=now >= amendment.closes_at,
    )
    entry_append(
        author=author,
        action="offer.receive",
        subject=envelope,
        now=now,
        project_id=enquiry.project_id,
        data={"part": part, "size": envelope.size, "sha256": envelope.sha256, "late": envelope.is_late},
    )
    return envelope


@transaction.atomic
def late_decide(*, envelope: Envelope, accepted: bool, reason: str, author: User, now: datetime) -> Envelope:
    """Decide about a late file, once, with a reason; one accepted after the opening is opened with it.

    A price is opened only where the offer is acceptable, as at the opening. Raises `Refused` for a technical
    file once the technical decisions are signed: what they rest on does not change any more.
    """
    row = Envelope.objects.select_for_update().select_related("offer__bidder__enquiry").get(pk=envelope.pk)
    if not row.is_late or row.late_accepted is not None:
        raise Refused("Nothing is to be decided about this file.")
    if not reason.strip():
        raise Refused("Say why.")
    enquiry = row.offer.bidder.enquiry
    if accepted and row.part == Part.TECHNICAL and enquiry.stage not in (Stage.ISSUED, Stage.OPENED):
        raise Refused(
            f"The enquiry is {enquiry.get_stage_display()}: a technical file is not let in any more."
        )
    row.late_accepted, row.late_reason = accepted, reason.strip()
    row.late_decided_at, row.late_decided_by = now, author
    is_open = enquiry.openings.filter(part=row.part, opened_at__isnull=False).exists()
    if accepted and is_open and (row.part == Part.TECHNICAL or row.offer in acceptable_offers(enquiry)):
        row.opened_at = now
    row.full_clean(exclude=["content"])
    row.save()
    entry_append(
        author=author,
        action="offer.late",
        subject=row,
        now=now,
        project_id=enquiry.project_id,
        data={"accepted": accepted, "reason": row.late_reason},
    )
    return row


def price_refusal_record(
    *, envelope: Envelope, problems: Sequence[Problem], author: User, now: datetime
) -> tuple[str, ...]:
    """Record that a technical file was refused for a price in it: the cells, never what stands there.

    Return the cells; none, and nothing is recorded, where it was refused for something else. Call it outside
    the transaction in which the file was refused.
    """
    cells = tuple(each.path for each in problems if each.allowed == _NO_PRICE)
    if cells:
        entry_append(
            author=author,
            action="offer.price_refused",
            subject=envelope,
            now=now,
            project_id=envelope.offer.bidder.enquiry.project_id,
            data={"cells": list(cells), "sha256": envelope.sha256},
        )
    return cells
