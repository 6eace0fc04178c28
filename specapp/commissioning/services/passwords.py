"""The password that stands behind a signature of commissioning."""

from datetime import datetime, timedelta

from specapp.commissioning.errors import Refused
from specapp.commissioning.models import Checklist
from specapp.core.audit import entry_append
from specapp.core.models import AuditEntry, User

MOST_FAILED = 5
_FAILED_WITHIN = timedelta(minutes=15)
_REFUSED = "checklist.sign_refused"


def password_checked(row: Checklist, person: User, password: str, now: datetime) -> None:
    """Raise `Refused` for a wrong password, which is recorded, and after too many of them."""
    failed = AuditEntry.objects.filter(actor=person, action=_REFUSED, at__gt=now - _FAILED_WITHIN).count()
    if failed >= MOST_FAILED:
        raise Refused("Too many wrong passwords: signing is closed to you for a quarter of an hour.")
    if person.check_password(password):
        return
    entry_append(
        author=person,
        action=_REFUSED,
        subject=row,
        now=now,
        project_id=row.machine.project_id,
        data={"machine": row.machine_id, "because": "password"},
    )
    raise Refused("This is not your password. Nothing was signed; the attempt is recorded.")
