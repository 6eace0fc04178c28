"""The hold list of a machine: what goes out unsettled, who settles it and by when."""

from datetime import date, datetime

from django.db import IntegrityError, transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.projects.models import Machine
from specapp.revisions.errors import Refused
from specapp.revisions.gate import GateItem
from specapp.revisions.models import HoldItem


def holds_in_force(machine: Machine) -> list[HoldItem]:
    return list(HoldItem.objects.filter(machine=machine, released_at=None))


@transaction.atomic
def hold_put(
    *, machine: Machine, item: GateItem, owner: str, due_date: date, author: User, now: datetime
) -> HoldItem:
    """Put something on the hold list. Raises `Refused` where it is there, or the date has passed."""
    if due_date < now.date():
        raise Refused(f"Found {due_date.isoformat()}; allowed is a due date from today on.")
    hold = HoldItem(
        machine=machine,
        kind=item.kind,
        key=item.key[:300],
        text=item.text[:600],
        owner=owner,
        due_date=due_date,
        written_by=author,
        written_at=now,
    )
    hold.full_clean(validate_constraints=False)
    try:
        with transaction.atomic():
            hold.save()
    except IntegrityError as error:
        raise Refused("This is on the hold list already.") from error
    _record("hold.put", hold, author, now, {"owner": owner, "due_date": due_date.isoformat()})
    return hold


@transaction.atomic
def hold_release(*, hold: HoldItem, reason: str, author: User, now: datetime) -> None:
    """Take something off the hold list; it stays in its history."""
    changed = HoldItem.objects.filter(pk=hold.pk, released_at=None).update(
        released_at=now, released_by=author, released_because=reason
    )
    if not changed:
        raise Refused("This hold was released already.")
    _record("hold.release", hold, author, now, {"reason": reason})


def _record(action: str, hold: HoldItem, author: User, now: datetime, data: dict[str, str]) -> None:
    entry_append(
        author=author,
        action=action,
        subject=hold,
        now=now,
        project_id=hold.machine.project_id,
        data={"machine": hold.machine_id, "kind": hold.kind, "key": hold.key, **data},
    )
