"""What people decide about trips: written into the description, with reason, person and date."""

import copy
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from specapp.core.models import User
from specapp.projects.models import Machine
from specapp.projects.services import machine_update

VOTING = "safety.radial_trip_voting"


@dataclass(frozen=True, slots=True)
class Decision:
    """The vote of the radial pairs as decided, why, by whom and when."""

    voting: str
    reason: str
    decided_by: str
    dated: date


@transaction.atomic
def voting_decide(
    *, machine: Machine, expected_version: int, decision: Decision, author: User, now: datetime
) -> Machine:
    """Write the purchaser's decision on the vote of the radial pairs into the description.

    The person and the date stand as the source of the vote. Raises `InputErrors` and `StaleVersion` as
    `machine_update`.
    """
    description = copy.deepcopy(dict(machine.description))
    description["safety"] = {
        **(description.get("safety") or {}),
        "radial_trip_voting": decision.voting,
        "radial_trip_voting_reason": decision.reason,
    }
    source = {
        "document": f"Decision of {decision.decided_by}",
        "revision": decision.dated.isoformat(),
        "state": "confirmed",
    }
    description["sources"] = {**(description.get("sources") or {}), VOTING: source}
    return machine_update(
        machine=machine,
        description=description,
        expected_version=expected_version,
        author=author,
        now=now,
    )
