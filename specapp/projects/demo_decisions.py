"""What the invented people of the demonstration have decided: values set by hand, one to be confirmed again,
and a maker's value beside the rule's. All of it is invented.
"""

import copy
from datetime import datetime
from typing import Any

from specapp.core.models import User
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.overrides import override_set
from specapp.projects.deciding.setpoint_values import Provenance, given_value, setpoint_values_write
from specapp.projects.models import Machine, SetpointState
from specapp.projects.services import machine_update

DECIDED_TAG = "K-4410"
_EARLIER_CLEARANCE = "0.05 mm"
_SET = {
    "item": "P1/P1-1/radial",
    "field": "trip",
    "value": 36,
    "reason": "Trip of the like machine of unit 43, without a false trip in six years (invented)",
}
_SET_EARLIER = {
    "item": "P2/P2-1/radial",
    "field": "trip",
    "value": 28,
    "reason": "Agreed with the owner on the clearance of drawing revision B (invented)",
}


def demo_decide(*, machine: Machine, author: User, now: datetime) -> None:
    """Let people decide about a machine just loaded; the clearance of P2 changes after its trip was set."""
    if machine.tag != DECIDED_TAG:
        return
    described = machine.description
    earlier = copy.deepcopy(described)
    earlier["pinions"][1]["diametral_clearance"] = _EARLIER_CLEARANCE
    _describe(machine, earlier, author, now)
    for wanted in (_SET, _SET_EARLIER):
        override_set(machine=machine, expected_version=machine.version, author=author, now=now, **wanted)
        machine.refresh_from_db()
    _describe(machine, described, author, now)
    given = given_value(machine_proposal(machine), "P1/P1-2/radial", "trip", "40 um")
    setpoint_values_write(
        machine=machine,
        expected_version=machine.version,
        values=[given],
        provenance=Provenance(
            state=SetpointState.MAKERS,
            document="Setpoint list 4410-I-014 (invented)",
            revision="1",
            person="E. Halvorsen, machine maker (invented)",
            dated=now.date(),
            note="Given before the test run (invented)",
        ),
        author=author,
        now=now,
    )


def _describe(machine: Machine, description: dict[str, Any], author: User, now: datetime) -> None:
    machine_update(
        machine=machine,
        description=description,
        expected_version=machine.version,
        author=author,
        now=now,
        pinions_were=list(range(len(description["pinions"]))),
    )
    machine.refresh_from_db()
