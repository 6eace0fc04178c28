"""Setting, confirming and undoing what stands in place of a rule's value.

Every change raises the machine's version, so that whoever looks at an older state is told.
"""

from datetime import datetime
from typing import Any

from django.db import transaction

from specapp.core.audit import entry_append
from specapp.core.models import User
from specapp.domain import overrides as domain
from specapp.domain.problems import InputErrors, Problem, shown
from specapp.domain.proposal import AppliedOverride, Proposal
from specapp.projects.deciding.ground import machine_ground, override_as_domain
from specapp.projects.errors import OverrideGone
from specapp.projects.models import Machine, Override
from specapp.projects.services import machine_locked, machine_touched
from specapp.projects.worked import proposal_for

GONE = "item gone"
CONFIRM_AGAIN = "confirm again"
_DRIVER = "M"


@transaction.atomic
def override_set(
    *,
    machine: Machine,
    expected_version: int,
    item: str,
    field: str,
    value: Any,
    reason: str,
    author: User,
    now: datetime,
) -> Override:
    """Set a value in place of a rule's; one already there for this item and field is undone.

    Raises
    ------
    InputErrors
        For an unknown field, a value not allowed, no reason, or an item that has no such value.
    StaleVersion
        Where the machine has changed since `expected_version`.
    """
    stored = machine_locked(machine, expected_version)
    wanted = override_wanted(item=item, field=field, value=value, reason=reason, author=author, now=now)
    was = stored.overrides.filter(item=wanted.item, field=wanted.field, undone_at=None).first()
    ground = machine_ground(stored).with_override(wanted)
    proposal = found_in(proposal_for(stored.description, ground), wanted)
    if was is not None:
        _mark_undone(was, author, now)
    row = _remember(stored, wanted, proposal, author, now)
    machine_touched(machine=stored, proposal=proposal, author=author, now=now)
    _record("override.set", row, was, author, now)
    return row


@transaction.atomic
def override_confirm(*, override: Override, expected_version: int, author: User, now: datetime) -> Override:
    """Hold an override against the rule's value and the speed of today; the former row stays as history.

    Raises `OverrideGone` where it was undone or its item is no longer there, and `StaleVersion`.
    """
    stored = machine_locked(override.machine, expected_version)
    was = _in_force(override)
    proposal = proposal_for(stored.description, machine_ground(stored))
    found = applied_of(proposal, was.item, was.field)
    if found is None or found.state == GONE:
        raise OverrideGone(was)
    _mark_undone(was, author, now)
    row = _remember(stored, override_as_domain(was), proposal, author, now)
    machine_touched(machine=stored, proposal=proposal, author=author, now=now)
    _record("override.confirm", row, was, author, now)
    return row


@transaction.atomic
def override_undo(*, override: Override, expected_version: int, author: User, now: datetime) -> None:
    """Let the rule's value stand again. Raises `OverrideGone` and `StaleVersion`."""
    stored = machine_locked(override.machine, expected_version)
    was = _in_force(override)
    _mark_undone(was, author, now)
    proposal = proposal_for(stored.description, machine_ground(stored))
    machine_touched(machine=stored, proposal=proposal, author=author, now=now)
    _record("override.undo", was, was, author, now)


def override_wanted(
    *, item: str, field: str, value: Any, reason: str, author: User, now: datetime
) -> domain.Override:
    """Return an override as typed, not yet stored; raises `InputErrors` with all that is wrong with it."""
    raw = {"item": item, "field": field, "value": value, "reason": reason}
    return domain.override_of(raw, author=author.get_full_name(), at=now.isoformat(timespec="minutes"))


def applied_of(proposal: Proposal, item: str, field: str) -> AppliedOverride | None:
    """Return how an override stands in a proposal."""
    return next((each for each in proposal.overrides if (each.item, each.field) == (item, field)), None)


def found_in(proposal: Proposal, wanted: domain.Override) -> Proposal:
    """Return a proposal made with an override; raises `InputErrors` where nothing in it could be set."""
    found = applied_of(proposal, wanted.item, wanted.field)
    if found is None or found.state == GONE:
        raise InputErrors([_nothing_there(wanted)])
    return proposal


def speed_of(proposal: Proposal, item: str) -> float | None:
    """Return the speed of the shaft that an item belongs to [rpm]; every key of the driver begins with M."""
    place = item.partition("/")[0]
    speeds = {shaft.name: shaft.speed.value for shaft in proposal.shafts if shaft.speed is not None}
    return speeds.get(place if place in speeds or not place.startswith(_DRIVER) else _DRIVER)


def _nothing_there(wanted: domain.Override) -> Problem:
    if wanted.field == "added":
        return Problem(
            "item", shown(wanted.item), "the key of a place on this machine that has no such point yet"
        )
    what = "voting group" if wanted.field in domain.GROUP_FIELDS else "point"
    return Problem("item", shown(wanted.item), f"a {what} of this machine that has a {wanted.field} to set")


def _in_force(override: Override) -> Override:
    row = Override.objects.select_for_update(of=("self",)).select_related("author").get(pk=override.pk)
    if row.undone_at is not None:
        raise OverrideGone(row)
    return row


def _mark_undone(row: Override, author: User, now: datetime) -> None:
    row.undone_at, row.undone_by = now, author
    row.save(update_fields=["undone_at", "undone_by"])


def _remember(
    machine: Machine,
    wanted: domain.Override,
    proposal: Proposal,
    author: User,
    now: datetime,
) -> Override:
    found = applied_of(proposal, wanted.item, wanted.field)
    row = Override(
        machine=machine,
        item=wanted.item,
        field=wanted.field,
        value=wanted.value,
        reason=wanted.reason,
        author=author,
        written_at=now,
        rule_value=found.rule_value if found else None,
        speed_rpm=speed_of(proposal, wanted.item),
    )
    row.full_clean()
    row.save()
    return row


def _record(action: str, row: Override, was: Override | None, author: User, now: datetime) -> None:
    entry_append(
        author=author,
        action=action,
        subject=row,
        now=now,
        project_id=row.machine.project_id,
        data={
            "machine": row.machine_id,
            "item": row.item,
            "field": row.field,
            "was": was.value if was else None,
            "is": None if action == "override.undo" else row.value,
            "rule_value": row.rule_value,
            "reason": row.reason,
        }
        | ({"moved_from": was.moved_from} if was and was.moved_from else {}),
    )
