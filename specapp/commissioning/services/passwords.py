"""The password that stands behind a signature of commissioning."""

from datetime import datetime

from specapp.commissioning.errors import Refused
from specapp.commissioning.models import Checklist
from specapp.core.models import User
from specapp.core.password_again import password_problem


def password_checked(row: Checklist, person: User, password: str, now: datetime) -> None:
    """Raise `Refused` for a wrong password, which is recorded, and after too many of them."""
    problem = password_problem(
        person=person,
        password=password,
        action="checklist.sign_refused",
        subject=row,
        project_id=row.machine.project_id,
        data={"machine": row.machine_id, "because": "password"},
        now=now,
    )
    if problem:
        raise Refused(problem)
