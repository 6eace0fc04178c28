"""A password asked again for what cannot be undone in an enquiry."""

from datetime import datetime

from specapp.bids.errors import Refused
from specapp.bids.models import Enquiry
from specapp.core.models import User
from specapp.core.password_again import password_problem


def password_check(enquiry: Enquiry, person: User, password: str, step: str, now: datetime) -> None:
    """Raise `Refused` unless this is the person's password. Call it outside the step's transaction."""
    problem = password_problem(
        person=person,
        password=password,
        action="enquiry.password_refused",
        subject=enquiry,
        project_id=enquiry.project_id,
        data={"step": step},
        now=now,
    )
    if problem:
        raise Refused(problem)
