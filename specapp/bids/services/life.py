"""Moving the closing time of an enquiry that is out, and giving one up.

The caller has made sure that the author may do it (`specapp.bids.access`).
"""

from datetime import datetime

import msgspec
from django.db import transaction

from specapp.bids.errors import Refused, Stale
from specapp.bids.models import Amendment, Cancellation, Enquiry, Stage
from specapp.bids.services.enquiring import CLOSED, amendment_store
from specapp.bids.sheets import closing_text, issued_sheet
from specapp.core.audit import entry_append
from specapp.core.models import User

NEVER_CANCELLED = (Stage.AWARDED, Stage.CANCELLED)


@transaction.atomic
def closing_extend(
    *, enquiry: Enquiry, version: int, closes_at: datetime, note: str, author: User, now: datetime
) -> Amendment:
    """Issue an amendment that moves the closing time on and changes nothing else.

    What is asked stays as last issued, and so does its number on the forms: one filled in before is still
    read. Changes that wait for an amendment go on waiting. Raises `Refused` before the issue, after the
    closing and for a time that is not later.
    """
    row = Enquiry.objects.select_for_update().get(pk=enquiry.pk)
    row.project = enquiry.project
    last = row.amendments.last()
    if last is None:
        raise Refused("It is not issued yet: set the closing time under “Comparison and closing”.")
    if row.stage != Stage.ISSUED or now >= last.closes_at:
        raise Refused(CLOSED)
    if row.version != version:
        raise Stale("Somebody changed this enquiry meanwhile. Look at it again before you change it.")
    if closes_at <= last.closes_at:
        zone = row.project.time_zone
        raise Refused(f"A closing time is moved on only: it is {closing_text(last.closes_at, zone)} now.")
    if not note.strip():
        raise Refused("Say what bidders are told.")
    sheet = msgspec.structs.replace(issued_sheet(last), closes=closing_text(closes_at, row.project.time_zone))
    going_out = Amendment(
        enquiry=row, number=last.number + 1, note=note.strip(), closes_at=closes_at, terms=last.terms
    )
    amendment = amendment_store(going_out, sheet, author, now)
    row.closes_at = closes_at
    row.version += 1
    row.save(update_fields=["closes_at", "version"])
    told = {"amendment": amendment.number, "from": str(last.closes_at), "to": str(closes_at)}
    _record(row, author, "enquiry.extend", now, {**told, "note": amendment.note})
    return amendment


@transaction.atomic
def enquiry_cancel(*, enquiry: Enquiry, reason: str, author: User, now: datetime) -> Cancellation:
    """Give an enquiry up, once, with a reason; sealed files stay sealed for good."""
    row = Enquiry.objects.select_for_update().get(pk=enquiry.pk)
    if row.stage in NEVER_CANCELLED:
        raise Refused(f"The enquiry is {row.get_stage_display()}: it is not cancelled.")
    if not reason.strip():
        raise Refused("Say why it is cancelled.")
    cancellation = Cancellation.objects.create(
        enquiry=row,
        stage_before=row.stage,
        reason=reason.strip(),
        at=now,
        by=author,
        by_name=author.get_full_name()[:200],
    )
    row.stage = Stage.CANCELLED
    row.version += 1
    row.save(update_fields=["stage", "version"])
    told = {"reason": cancellation.reason, "stage": cancellation.stage_before}
    _record(row, author, "enquiry.cancel", now, told)
    return cancellation


def _record(enquiry: Enquiry, author: User, action: str, now: datetime, data: dict[str, object]) -> None:
    entry_append(
        author=author, action=action, subject=enquiry, now=now, project_id=enquiry.project_id, data=data
    )
