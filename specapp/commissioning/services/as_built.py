"""The as-built setpoints: what was specified, what was left, and why they differ where they do."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from specapp.bench.measuring.probes import GAP
from specapp.commissioning.errors import Refused
from specapp.commissioning.models import DifferenceReason, Measurement
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.proposal import Point, Proposal, Setpoint
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.selectors import setpoint_values
from specapp.projects.deciding.setpoint_values import Provenance, given_value, setpoint_values_write
from specapp.projects.models import Machine, SetpointState, SetpointValue
from specapp.projects.presenting.setpoint_values import groups_of
from specapp.revisions.content import content_of
from specapp.revisions.services.signing import last_issued

_LEVELS = ("alarm", "trip")


@dataclass(frozen=True, slots=True)
class Specified:
    """What the as-built setpoints are held against: an issued revision, or the machine as it stands."""

    proposal: Proposal
    basis: str


@dataclass(frozen=True, slots=True)
class AsBuiltLine:
    """One setpoint: specified, left, the reason that explains this difference, gap voltages of its probes."""

    item: str
    level: str
    points: Sequence[Point]
    specified: Setpoint
    left: SetpointValue | None
    reason: DifferenceReason | None
    gaps: Sequence[tuple[str, float]]

    @property
    def tags(self) -> str:
        return ", ".join(point.tag for point in self.points)

    @property
    def differs(self) -> bool:
        return self.left is not None and not same(self.specified, self.left)

    @property
    def state(self) -> str:
        """Return "as specified", "explained", "open" for a difference without reason, "not entered"."""
        if self.left is None:
            return "not entered"
        if not self.differs:
            return "as specified"
        return "open" if self.reason is None else "explained"


def same(specified: Setpoint, left: SetpointValue) -> bool:
    """Tell whether a value is what was specified; a low side belongs to two-sided setpoints only."""
    if left.unit != specified.unit:
        return False
    return _near(specified.value, left.value) and _near(specified.low, left.low)


def _near(first: float | None, second: float | None) -> bool:
    if first is None or second is None:
        return first is second
    return abs(first - second) <= 1e-9 * max(1.0, abs(first))


def specified_of(machine: Machine) -> Specified:
    """Return the current issued revision of a machine, or its working proposal where none is issued."""
    issued = last_issued(machine)
    if issued is not None:
        return Specified(content_of(issued.checksum).proposal, f"revision {issued.label}")
    return Specified(machine_proposal(machine), f"working, v{machine.version}, not issued")


def as_built_lines(machine: Machine, specified: Specified) -> list[AsBuiltLine]:
    """Return every setpoint of what was specified, in its order; four queries."""
    left = {
        (value.item, value.level): value
        for value in setpoint_values(machine)
        if value.state == SetpointState.AS_LEFT
    }
    reasons = {_explained(row): row for row in machine.difference_reasons.all()}
    rows = Measurement.objects.filter(machine=machine, kind=GAP.key, corrected_by=None)
    gaps: dict[str, dict[str, float]] = {}
    for row in rows.order_by("measured_on", "pk"):
        gaps.setdefault(row.item, {})[row.tags] = row.data["gap_v"]
    lines = []
    for item, points in groups_of(specified.proposal).items():
        for level in _LEVELS:
            setpoint = getattr(points[0].setpoints, level)
            if setpoint is None:
                continue
            value = left.get((item, level))
            reason = reasons.get(_difference(item, level, setpoint, value)) if value else None
            found = [each for point in points for each in gaps.get(point.key, {}).items()]
            lines.append(AsBuiltLine(item, level, points, setpoint, value, reason, found))
    return lines


def line_of(machine: Machine, item: str, level: str) -> AsBuiltLine | None:
    lines = as_built_lines(machine, specified_of(machine))
    return next((line for line in lines if (line.item, line.level) == (item, level)), None)


def _explained(row: DifferenceReason) -> tuple[object, ...]:
    return (row.item, row.level, row.specified, row.specified_low, row.left, row.left_low, row.unit)


def _difference(item: str, level: str, specified: Setpoint, left: SetpointValue) -> tuple[object, ...]:
    return (item, level, specified.value, specified.low, left.value, left.low, left.unit)


@dataclass(frozen=True, slots=True)
class Left:
    """A setpoint as left, as typed: numbers in any unit of their kind, and where they come from."""

    value: str
    low: str
    document: str
    person: str
    dated: date | None
    reason: str
    change_number: str


@transaction.atomic
def left_write(
    *, machine: Machine, line: AsBuiltLine, told: Left, expected_version: int, author: User, now: datetime
) -> SetpointValue:
    """Write down a setpoint as left, with the reason where it differs and one is told.

    The value goes among the values given for setpoints, in state "as left".

    Raises
    ------
    InputErrors
        With all that is wrong with value and provenance.
    StaleVersion
        Where the machine has changed since `expected_version`.
    Refused
        For a reason where nothing differs.
    """
    given = given_value(machine_proposal(machine), line.item, line.level, told.value, told.low)
    provenance = Provenance(SetpointState.AS_LEFT, told.document, "", told.person, told.dated)
    (row,) = setpoint_values_write(
        machine=machine,
        expected_version=expected_version,
        values=[given],
        provenance=provenance,
        author=author,
        now=now,
    )
    if told.reason:
        _explain(machine, line, row, told.reason, told.change_number, author, now)
    return row


@transaction.atomic
def difference_explain(
    *, machine: Machine, line: AsBuiltLine, reason: str, change_number: str, author: User, now: datetime
) -> DifferenceReason:
    """Explain the difference that a line shows. Raises `Refused` where there is none or no reason is told."""
    if line.left is None or not reason:
        raise Refused("Found no reason; allowed: why it was left other than specified.")
    return _explain(machine, line, line.left, reason, change_number, author, now)


def _explain(
    machine: Machine,
    line: AsBuiltLine,
    left: SetpointValue,
    reason: str,
    change_number: str,
    author: User,
    now: datetime,
) -> DifferenceReason:
    if same(line.specified, left):
        raise Refused("It is left as specified: there is no difference to explain.")
    row = DifferenceReason(
        machine=machine,
        item=line.item,
        level=line.level,
        specified=line.specified.value,
        specified_low=line.specified.low,
        left=left.value,
        left_low=left.low,
        unit=left.unit,
        reason=reason,
        change_number=change_number,
        person=author,
        person_name=author.get_full_name()[:200],
        written_at=now,
    )
    row.full_clean()
    row.save()
    entry_append(
        author=author,
        action="as_built.answer",
        subject=row,
        now=now,
        project_id=machine.project_id,
        data={
            "machine": machine.pk,
            "item": line.item,
            "level": line.level,
            "specified": line.specified.value,
            "left": left.value,
            "reason": reason,
            "change_number": change_number,
        },
    )
    return row
