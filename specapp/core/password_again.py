"""A person's own password, asked again for what cannot be undone; wrong ones are recorded and soon end it."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import Model

from specapp.core.audit import entry_append
from specapp.core.limits import Limit, window_count, window_forget
from specapp.core.models import User

# One window for whatever it is asked, or each kind of step would allow guesses anew.
TRIES = Limit(5, 15 * 60)
_WINDOW = "password again"


def password_problem(
    *,
    person: User,
    password: str,
    action: str,
    subject: Model,
    project_id: int,
    data: Mapping[str, Any],
    now: datetime,
) -> str:
    """Return why a password is not taken, nothing where it is the person's.

    A wrong one is recorded as `action` with `data`. Call it outside the transaction of the step that it is
    asked for, so that the count and the record stay when the step is refused.
    """
    # Counted before the password is looked at: guesses at one moment do not all find the window open.
    if window_count(TRIES, now, _WINDOW, person.pk) > TRIES.count:
        return "Too many wrong passwords: this is closed to you for a quarter of an hour."
    if person.check_password(password):
        window_forget(_WINDOW, person.pk)
        return ""
    entry_append(
        author=person, action=action, subject=subject, now=now, project_id=project_id, data=dict(data)
    )
    return "This is not your password. Nothing was done; the attempt is recorded."
