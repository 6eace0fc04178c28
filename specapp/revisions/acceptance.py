"""What a person who signs accepts knowingly: values from memory, placeholders, points nobody opened."""

from collections.abc import Sequence
from dataclasses import dataclass

from specapp.documents.wording import plain
from specapp.domain.display import with_unit
from specapp.domain.proposal import Proposal
from specapp.projects.deciding.selectors import confirmations
from specapp.revisions.models import PointOpened, Revision

FROM_MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Accepted:
    """The three lists: (criterion, value), (setpoint, value) and (key, tag) of a candidate."""

    memory: Sequence[tuple[str, str]]
    placeholders: Sequence[tuple[str, str]]
    unopened: Sequence[tuple[str, str]]

    @property
    def counts(self) -> dict[str, int]:
        return {
            "from memory": len(self.memory),
            "placeholders": len(self.placeholders),
            "not opened": len(self.unopened),
        }

    @property
    def total(self) -> int:
        return sum(self.counts.values())


def to_accept(revision: Revision, proposal: Proposal, since_version: int) -> Accepted:
    """Return what is to be accepted with a signature; points count as opened since a machine's version."""
    confirmed = {(row.key, row.value) for row in confirmations(revision.machine.project_id)}
    opened = set(
        PointOpened.objects.filter(
            machine=revision.machine_id, machine_version__gte=since_version
        ).values_list("key", flat=True)
    )
    memory = [
        (str(row["key"]), f"{plain(row['value'])} {row.get('unit') or ''}".strip())
        for row in proposal.criteria
        if row["status"] == FROM_MEMORY and (row["key"], row["value"]) not in confirmed
    ]
    placeholders: dict[str, str] = {}
    for point in proposal.points:
        for level in ("alarm", "trip"):
            setpoint = getattr(point.setpoints, level)
            if setpoint is not None and setpoint.status == "placeholder":
                value = "no value" if setpoint.value is None else with_unit(setpoint.value, setpoint.unit)
                placeholders[f"{point.voting_group} {level}"] = value
    unopened = [(point.key, point.tag) for point in proposal.points if point.key not in opened]
    return Accepted(memory, list(placeholders.items()), unopened)
