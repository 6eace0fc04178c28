"""Values that documents and people give for setpoints: written down, withdrawn, never changed.

They stand beside the rule's value and move nothing; to let one act, it is adopted as an override.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown
from specapp.domain.proposal import Proposal
from specapp.domain.quantities import QuantityError, parse_quantity
from specapp.projects.deciding.items import LEVELS, Item, item_of
from specapp.projects.deciding.selectors import values_given
from specapp.projects.errors import SetpointValueMoved
from specapp.projects.models import Machine, SetpointState, SetpointValue
from specapp.projects.services import machine_locked

_TEXTS = {"document": 120, "revision": 40, "person": 120, "note": 500}
_NEEDED = ("document", "person")


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where values come from: their state, the document with its revision, who gave them and when."""

    state: str
    document: str
    revision: str
    person: str
    dated: date | None
    note: str = ""


@dataclass(frozen=True, slots=True)
class GivenValue:
    """A value for the setpoint of a voting group (or a point that votes alone), in the machine's units."""

    item: str
    level: str
    value: float
    low: float | None
    unit: str


def given_value(proposal: Proposal, item: str, level: str, high: str, low: str = "") -> GivenValue:
    """Return a value as typed in any unit of its kind; raises `InputErrors` with all that is wrong.

    A two-sided setpoint given by one number is the same on both sides.
    """
    if level not in LEVELS:
        raise InputErrors([Problem("level", shown(level), " or ".join(LEVELS))])
    what = item_of(proposal, item, level)
    if not what.points or not what.kind or what.points[0].voting_group != item:
        raise InputErrors([Problem("item", shown(item), "a voting group of this machine with setpoints")])
    problems: list[Problem] = []
    value = _number(what, "value", high, problems)
    low_value = _number(what, "low", low, problems) if low.strip() else None
    if what.is_axial and value is not None and low_value is None and not low.strip():
        low_value = -value
    if low.strip() and not what.is_axial:
        problems.append(Problem("low", shown(low), "nothing: only axial positions have two sides"))
    elif value is not None and low_value is not None and low_value >= value:
        problems.append(Problem("low", shown(low), f"below the high side, {value:g} {what.unit}"))
    if problems or value is None:
        raise InputErrors(problems)
    return GivenValue(item, level, value, low_value, what.unit)


def _number(what: Item, path: str, text: str, problems: list[Problem]) -> float | None:
    allowed = f"a number, in {what.symbol} unless another unit is named"
    if not text.strip():
        problems.append(Problem(path, NOTHING, allowed))
        return None
    try:
        found = parse_quantity(text, what.kind, what.unit)
    except QuantityError as error:
        problems.append(Problem(path, shown(text), allowed, message=error.message))
        return None
    if path == "value" and found <= 0 and what.kind != "temperature":
        problems.append(Problem(path, shown(text), f"{allowed}, above 0"))
        return None
    return found


@transaction.atomic
def setpoint_value_write(
    *,
    machine: Machine,
    expected_version: int,
    value: GivenValue,
    seen: int | None,
    provenance: Provenance,
    author: User,
    now: datetime,
) -> SetpointValue:
    """Write down one value; `seen` is the key of the latest one of its setpoint that the author saw.

    Raises what `setpoint_values_write` does, and `SetpointValueMoved` where that is no longer the latest.
    """
    machine_locked(machine, expected_version)
    if latest_key(values_given(machine, value.item, value.level)) != seen:
        raise SetpointValueMoved
    (row,) = setpoint_values_write(
        machine=machine,
        expected_version=expected_version,
        values=[value],
        provenance=provenance,
        author=author,
        now=now,
    )
    return row


def latest_key(values: Sequence[SetpointValue]) -> int | None:
    """Return the key of the last of some values, None where there is none."""
    return values[-1].pk if values else None


@transaction.atomic
def setpoint_values_write(
    *,
    machine: Machine,
    expected_version: int,
    values: Sequence[GivenValue],
    provenance: Provenance,
    author: User,
    now: datetime,
) -> list[SetpointValue]:
    """Write down values from one document, all or none.

    Raises
    ------
    InputErrors
        Where the state is unknown, no document, person or date is named, or a text is too long.
    StaleVersion
        Where the machine has changed since `expected_version`: the values may belong to other items now.
    """
    problems = _problems_of(provenance, now.date())
    if problems:
        raise InputErrors(problems)
    stored = machine_locked(machine, expected_version)
    rows = [_row(stored, value, provenance, author, now) for value in values]
    for row in rows:
        row.full_clean()
        row.save()
    entry_append(
        author=author,
        action="setpoint_values.write",
        subject=stored,
        now=now,
        project_id=stored.project_id,
        data={
            "state": provenance.state,
            "document": provenance.document,
            "revision": provenance.revision,
            "person": provenance.person,
            "values": [[row.pk, row.item, row.level, row.value, row.low, row.unit] for row in rows],
        },
    )
    return rows


@transaction.atomic
def setpoint_value_withdraw(*, value: SetpointValue, author: User, now: datetime) -> None:
    """Mark a value as written down by mistake; it stays in the history."""
    changed = SetpointValue.objects.filter(pk=value.pk, withdrawn_at=None).update(
        withdrawn_at=now, withdrawn_by=author
    )
    if changed:
        entry_append(
            author=author,
            action="setpoint_values.withdraw",
            subject=value,
            now=now,
            project_id=value.machine.project_id,
            data={"item": value.item, "level": value.level, "was": value.value, "state": value.state},
        )


def _row(
    machine: Machine, value: GivenValue, provenance: Provenance, author: User, now: datetime
) -> SetpointValue:
    return SetpointValue(
        machine=machine,
        item=value.item,
        level=value.level,
        value=value.value,
        low=value.low,
        unit=value.unit,
        state=provenance.state,
        document=provenance.document.strip(),
        revision=provenance.revision.strip(),
        person=provenance.person.strip(),
        dated=provenance.dated,
        note=provenance.note.strip(),
        author=author,
        written_at=now,
    )


def _problems_of(provenance: Provenance, today: date) -> list[Problem]:
    problems = []
    if provenance.state not in SetpointState.values:
        problems.append(Problem("state", shown(provenance.state), ", ".join(SetpointState.labels)))
    for name, longest in _TEXTS.items():
        text = getattr(provenance, name).strip()
        if not text and name in _NEEDED:
            problems.append(Problem(name, NOTHING, f"1 to {longest} characters"))
        elif len(text) > longest or any(ord(char) < 32 for char in text):
            problems.append(Problem(name, shown(text), f"one line of at most {longest} characters"))
    if provenance.dated is None:
        problems.append(Problem("dated", NOTHING, "the date of the document or reading, such as 2026-03-31"))
    elif provenance.dated > today:
        problems.append(Problem("dated", provenance.dated.isoformat(), f"a date up to {today.isoformat()}"))
    return problems
