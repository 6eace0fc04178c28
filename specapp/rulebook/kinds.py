"""What of a proposal is of one kind or another, apart from how large it is.

A setpoint that moves from 41 to 42 um is the same proposal with another number. Another criterion that
governs, a check that turns, a point that appears, another range or tip is another kind of proposal.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from typing import Any

from specapp.domain.proposal import Check, OpenPoint, Proposal, Range, Reading, Setpoint, Transducer
from specapp.rulebook.context import Context, PointDraft

# What it is (alarm, trip, check, ...), of which item, and for a check of which name.
Kind = tuple[str, str, str]
Kinds = dict[Kind, Hashable]
Turned = dict[Kind, tuple[Hashable, Hashable]]


def _of_setpoint(setpoint: Setpoint | None) -> Hashable:
    return None if setpoint is None else (setpoint.governed_by, setpoint.status, setpoint.voting)


def _of_transducer(probe: Transducer | None) -> Hashable:
    if probe is None:
        return None
    sizes = (None if size is None else size.value for size in (probe.tip, probe.system_length))
    return (probe.type, *sizes)


def _of_range(signal: Range | None) -> Hashable:
    return None if signal is None else (signal.low.value, signal.high.value, signal.high.unit)


def _of_readings(readings: tuple[Reading, ...]) -> Hashable:
    return tuple(
        (each.quantity, _of_setpoint(each.setpoints.alarm), _of_setpoint(each.setpoints.trip))
        for each in readings
    )


# The fields of a point that have a kind, by what it is read from; those of a voting group are held once.
POINT_KINDS: Mapping[str, Any] = {
    "alarm": _of_setpoint,
    "trip": _of_setpoint,
    "multiplier": lambda multiplier: multiplier is not None,
    "transducer": _of_transducer,
    "range": _of_range,
    "further_readings": _of_readings,
    "chain": str,
    "frequency_group": str,
}
GROUP_KINDS = frozenset({"alarm", "trip", "multiplier"})


def point_kind(field: str, key: str, group: str) -> Kind:
    """Return under which kind a field of a point is held: its voting group's, or its own."""
    return (field, group if field in GROUP_KINDS else key, "")


def check_kinds(checks: Iterable[Check]) -> Kinds:
    """Return the result of every check by its name and subject."""
    return {("check", check.subject, check.check): check.result for check in checks}


def open_point_kinds(items: Iterable[OpenPoint]) -> Kinds:
    """Return the open points that there are."""
    return {("open_point", item.key, ""): True for item in items}


def kinds_of_context(context: Context) -> Kinds:
    """Return the kinds of a finished run."""
    kinds: Kinds = {}
    for point in context.points.values():
        kinds[("point", point.key, "")] = True
        kinds |= {
            point_kind(field, point.key, point.group): of(getattr(point, field))
            for field, of in POINT_KINDS.items()
        }
    conflicts = {("conflict", each.item, each.field): True for each in context.conflicts}
    return kinds | check_kinds(context.checks) | open_point_kinds(context.open_points.values()) | conflicts


def kinds_of(proposal: Proposal) -> Kinds:
    """Return the kinds of a proposal; the same as of the run that made it."""
    kinds: Kinds = {}
    for point in proposal.points:
        kinds[("point", point.key, "")] = True
        values: dict[str, Any] = {
            "alarm": point.setpoints.alarm,
            "trip": point.setpoints.trip,
            "frequency_group": point.installation.frequency_group,
        }
        for field, of in POINT_KINDS.items():
            value = values[field] if field in values else getattr(point, field)
            kinds[point_kind(field, point.key, point.voting_group)] = of(value)
    conflicts = {("conflict", each.item, each.field): True for each in proposal.conflicts}
    return kinds | check_kinds(proposal.checks) | open_point_kinds(proposal.open_points) | conflicts


def turned(before: Kinds, after: Kinds) -> Turned:
    """Return what is of another kind, with its kind before and after; None is: not there."""
    changed = {kind: (was, after.get(kind)) for kind, was in before.items() if after.get(kind) != was}
    return changed | {kind: (None, now) for kind, now in after.items() if kind not in before}


def draft_kind(draft: PointDraft, field: str, value: Any) -> tuple[Kind, Hashable]:
    """Return the kind that a value of one field of a draft would have."""
    return point_kind(field, draft.key, draft.group), POINT_KINDS[field](value)
