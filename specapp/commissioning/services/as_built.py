"""The as-built setpoints: what was specified, what was left, and why they differ where they do."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import transaction
from django.db.models import Model

from specapp.bench.measuring.probes import GAP
from specapp.commissioning.errors import Refused, Stale
from specapp.commissioning.models import DifferenceReason, LeftInTrain, Measurement
from specapp.commissioning.services.trains import trains_of
from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.proposal import Point, Proposal, Setpoint
from specapp.projects.deciding.ground import machine_proposal
from specapp.projects.deciding.selectors import setpoint_values
from specapp.projects.deciding.setpoint_values import Provenance, given_value, setpoint_values_write
from specapp.projects.models import Machine, SetpointState, SetpointValue
from specapp.projects.presenting.setpoint_values import groups_of
from specapp.projects.services import machine_locked
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
    """One setpoint: specified, left, the reason that explains this difference, gap voltages of its probes.

    `train` is the one of several identical machines it is of, `left_train` the one that the value as left was
    written down for; both are empty where there is one machine, the latter also where a value is of all.
    """

    train: str
    item: str
    level: str
    points: Sequence[Point]
    specified: Setpoint
    left: SetpointValue | None
    left_train: str
    reason: DifferenceReason | None
    gaps: Sequence[tuple[str, float]]

    @property
    def tags(self) -> str:
        return ", ".join(point.tags.get(self.train, point.tag) for point in self.points)

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


def as_built_lines(machine: Machine, specified: Specified, train: str = "") -> list[AsBuiltLine]:
    """Return every setpoint of what was specified, in its order, as left in a train; four queries."""
    trains = dict(LeftInTrain.objects.filter(value__machine=machine).values_list("value_id", "train"))
    left = {
        (value.item, value.level): value
        for value in setpoint_values(machine)
        if value.state == SetpointState.AS_LEFT and trains.get(value.pk, "") in ("", train)
    }
    reasons = {_explained(row): row for row in machine.difference_reasons.all()}
    rows = Measurement.objects.filter(machine=machine, kind=GAP.key, train=train, corrected_by=None)
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
            left_train = trains.get(value.pk, "") if value else ""
            reason = reasons.get(_difference(left_train, item, level, setpoint, value)) if value else None
            found = [each for point in points for each in gaps.get(point.key, {}).items()]
            lines.append(AsBuiltLine(train, item, level, points, setpoint, value, left_train, reason, found))
    return lines


def every_line(machine: Machine, specified: Specified) -> list[AsBuiltLine]:
    """Return the setpoints of every train, one train after the other."""
    trains = trains_of(specified.proposal) or ("",)
    return [line for train in trains for line in as_built_lines(machine, specified, train)]


def line_of(
    machine: Machine, item: str, level: str, train: str = "", specified: Specified | None = None
) -> AsBuiltLine | None:
    lines = as_built_lines(machine, specified or specified_of(machine), train)
    return next((line for line in lines if (line.item, line.level) == (item, level)), None)


def _explained(row: DifferenceReason) -> tuple[object, ...]:
    return (
        row.train,
        row.item,
        row.level,
        row.specified,
        row.specified_low,
        row.left,
        row.left_low,
        row.unit,
    )


def _difference(
    train: str, item: str, level: str, specified: Setpoint, left: SetpointValue
) -> tuple[object, ...]:
    return (train, item, level, specified.value, specified.low, left.value, left.low, left.unit)


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
    seen: int | None


@transaction.atomic
def left_write(
    *, machine: Machine, line: AsBuiltLine, told: Left, expected_version: int, author: User, now: datetime
) -> SetpointValue:
    """Write down a setpoint as left, with the reason where it differs and one is told.

    The value goes among the values given for setpoints, in state "as left"; of several identical machines
    it is that of the line's train.

    Raises
    ------
    InputErrors
        With all that is wrong with value and provenance.
    StaleVersion
        Where the machine has changed since `expected_version`.
    Stale
        Where another value was written down as left since `told.seen`.
    Refused
        For a reason where nothing differs.
    """
    given = given_value(machine_proposal(machine), line.item, line.level, told.value, told.low)
    machine_locked(machine, expected_version)
    _check_seen(machine, line, told)
    note = f"train {line.train}" if line.train else ""
    provenance = Provenance(SetpointState.AS_LEFT, told.document, "", told.person, told.dated, note)
    (row,) = setpoint_values_write(
        machine=machine,
        expected_version=expected_version,
        values=[given],
        provenance=provenance,
        author=author,
        now=now,
    )
    if line.train:
        LeftInTrain.objects.create(value=row, train=line.train)
        _record(machine, line, row, author, now, "as_built.left", {"train": line.train, "left": row.value})
    if told.reason:
        _explain(machine, replace(line, left=row, left_train=line.train), told, author, now)
    return row


@transaction.atomic
def difference_explain(
    *, machine: Machine, line: AsBuiltLine, told: Left, expected_version: int, author: User, now: datetime
) -> DifferenceReason:
    """Explain the difference that a line shows. Raises `Refused` where there is none or no reason is told.

    Raises `StaleVersion` where the machine has changed since `expected_version`, and `Stale` where the value
    that the author saw is not the one that stands.
    """
    machine_locked(machine, expected_version)
    _check_seen(machine, line, told)
    if line.left is None or not told.reason:
        raise Refused("Found no reason; allowed: why it was left other than specified.")
    return _explain(machine, line, told, author, now)


def _check_seen(machine: Machine, line: AsBuiltLine, told: Left) -> None:
    stands = line_of(machine, line.item, line.level, line.train)
    left = stands.left if stands else None
    if (left.pk if left else None) != told.seen:
        raise Stale("Another value was written down as left meanwhile.")


def _explain(
    machine: Machine, line: AsBuiltLine, told: Left, author: User, now: datetime
) -> DifferenceReason:
    left = line.left
    if left is None or same(line.specified, left):
        raise Refused("It is left as specified: there is no difference to explain.")
    row = DifferenceReason(
        machine=machine,
        train=line.left_train,
        item=line.item,
        level=line.level,
        specified=line.specified.value,
        specified_low=line.specified.low,
        left=left.value,
        left_low=left.low,
        unit=left.unit,
        reason=told.reason,
        change_number=told.change_number,
        person=author,
        person_name=author.get_full_name()[:200],
        written_at=now,
    )
    row.full_clean()
    row.save()
    explained = {
        "train": row.train,
        "specified": row.specified,
        "left": row.left,
        "reason": row.reason,
        "change_number": row.change_number,
    }
    _record(machine, line, row, author, now, "as_built.answer", explained)
    return row


def _record(
    machine: Machine,
    line: AsBuiltLine,
    subject: Model,
    author: User,
    now: datetime,
    action: str,
    data: dict[str, object],
) -> None:
    entry_append(
        author=author,
        action=action,
        subject=subject,
        now=now,
        project_id=machine.project_id,
        data={"machine": machine.pk, "item": line.item, "level": line.level, **data},
    )
