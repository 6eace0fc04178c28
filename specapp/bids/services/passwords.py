"""A password asked again for what cannot be undone; wrong ones are recorded and soon end it."""

from datetime import datetime, timedelta

from specapp.bids.errors import Refused
from specapp.bids.models import Enquiry
from specapp.core.audit import entry_append
from specapp.core.models import AuditEntry, User

MOST_FAILED = 5
_WITHIN = timedelta(minutes=15)
_REFUSED = "enquiry.password_refused"


def password_check(enquiry: Enquiry, person: User, password: str, step: str, now: datetime) -> None:
    """Raise `Refused` unless this is the person's password. Call it outside the step's transaction."""
    failed = AuditEntry.objects.filter(actor=person, action=_REFUSED, at__gt=now - _WITHIN).count()
    if failed >= MOST_FAILED:
        raise Refused("Too many wrong passwords: this is closed to you for a quarter of an hour.")
    if person.check_password(password):
        return
    entry_append(
        author=person,
        action=_REFUSED,
        subject=enquiry,
        now=now,
        project_id=enquiry.project_id,
        data={"step": step},
    )
    raise Refused("This is not your password. Nothing was done; the attempt is recorded.")
