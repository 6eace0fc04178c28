"""Run the rules in their phases and freeze what they answer into a proposal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import groupby
from typing import Any

from specapp.criteria.loader import CriteriaSet
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import AppliedOverride, Override
from specapp.domain.proposal import (
    Assumption,
    BillLine,
    CauseAndEffect,
    Check,
    Conflict,
    FrequencyLine,
    GoverningDocument,
    Interface,
    JunctionBox,
    OpenPoint,
    ProcessProtection,
    Proposal,
    Rack,
    ReconciliationLine,
    Relay,
    Responsibility,
    RuleOutcome,
)
from specapp.kernel.errors import MissingInput
from specapp.rulebook import rules as _rules  # noqa: F401  importing the package registers every rule
from specapp.rulebook.context import (
    Assign,
    Bearing,
    Cable,
    Citation,
    Cited,
    Context,
    PointDraft,
    Shaft,
    Strike,
    Undecided,
)
from specapp.rulebook.freezing import freeze
from specapp.rulebook.registry import RULES, Phase, Rule
from specapp.rulebook.setting_units import setting_units

Accept = Callable[[Context, Rule, Any], None]


def propose(
    machine: MachineDescription,
    criteria: CriteriaSet,
    gases: Mapping[str, Any] | None = None,
    overrides: Sequence[Override] = (),
) -> Proposal:
    """Return the proposal for a machine under a set of criteria.

    ``gases`` maps the names used in the description to gas data; names were checked when the
    description was read. ``overrides`` stand in place of what the rules answer; whatever rests on them
    is worked out anew. Deterministic: the same description and criteria give the same proposal.
    """
    units = setting_units(machine.setting_units)
    context = Context(machine, criteria, units, gases or {}, overrides, citations=_citations(criteria.digest))
    outcomes = []
    for phase, rules in rules_by_phase(len(RULES)).items():
        outcomes += [_run(context, rule) for rule in rules]
        if phase is Phase.POINTS:
            _order_points(context)
    return freeze(context, tuple(outcomes))


def _regroup(context: Context) -> None:
    """Let the voting groups follow points added or struck: a set votes together, a single one alone."""
    sets: dict[str, list[PointDraft]] = {}
    for point in context.points.values():
        if point.suffix:
            sets.setdefault(point.key.rpartition("/")[0], []).append(point)
    for group, points in sets.items():
        for point in points:
            point.group = group if len(points) > 1 else point.key


def _strike(context: Context, rule: Rule, item: Strike) -> None:
    context.points.pop(item.point, None)


@lru_cache(maxsize=1)
def rules_by_phase(registered: int) -> dict[Phase, tuple[Rule, ...]]:
    """Return the rules of each phase, in the order they were registered; `registered` is their number."""
    return {phase: tuple(rule for rule in RULES.values() if rule.phase is phase) for phase in Phase}


@lru_cache(maxsize=4)
def _citations(digest: str) -> dict[Cited, Citation]:
    """Return the citations already put together under one set of criteria, to be added to."""
    return {}


# Along the power flow: driver, bull gear, pinions; at each bearing what is felt first comes first.
_QUANTITIES = {
    quantity: place
    for place, quantity in enumerate(
        (
            "radial_vibration",
            "axial_position",
            "phase_reference",
            "casing_vibration",
            "bearing_temperature",
            "winding_temperature",
            "overspeed",
            "speed",
        )
    )
}


def _order_points(context: Context) -> None:
    shafts = {key: index for index, key in enumerate(context.shafts)}
    shafts["M"] = -1

    def place(point: PointDraft) -> tuple[int, int, int]:
        side = 0 if point.bearing is None else point.bearing.side
        return shafts[point.shaft.key], _QUANTITIES[point.quantity], side

    context.points = {point.key: point for point in sorted(context.points.values(), key=place)}
    if context.overrides:
        _regroup(context)
    context.groups, context.quantities, context.quantity_groups = {}, {}, {}
    for point in context.points.values():
        context.groups.setdefault(point.group, []).append(point)
        context.quantities.setdefault(point.quantity, []).append(point)
    for group in context.groups.values():
        context.quantity_groups.setdefault(group[0].quantity, []).append(group)


def _run(context: Context, rule: Rule) -> RuleOutcome:
    """Run one rule; its items are accepted only when the whole rule has run."""
    context.current_rule = rule
    reasons_before = len(context.trace)
    try:
        items = list(rule.function(context))
    except MissingInput as missing:
        del context.trace[reasons_before:]
        return RuleOutcome(rule.id, rule.title, "undecided", (missing.name,))
    if not items:
        return RuleOutcome(rule.id, rule.title, "not applicable", ())
    needs: dict[str, None] = {}
    undecided = 0
    for kind, alike in groupby(items, type):
        name = _LISTS.get(kind)
        if name is not None:
            getattr(context, name).extend(alike)
        elif kind is Undecided:
            missing_facts = [item.needs for item in alike]
            needs |= dict.fromkeys(missing_facts)
            undecided += len(missing_facts)
        else:
            accept = _ACCEPT[kind]
            for item in alike:
                accept(context, rule, item)
    outcome = "applied" if len(items) > undecided else ("undecided" if needs else "not applicable")
    return RuleOutcome(rule.id, rule.title, outcome, tuple(needs))


def _point(context: Context, rule: Rule, draft: PointDraft) -> None:
    """Add a point; a second rule proposing the same point adds its reasons."""
    known = context.points.get(draft.key)
    if known is not None:
        known.reasons.extend(draft.reasons)
        return
    context.points[draft.key] = draft
    context.groups.setdefault(draft.group, []).append(draft)


def _assign(context: Context, rule: Rule, item: Assign) -> None:
    points, reason = item.points, item.reason
    for name, value in item.values.items():
        if name not in context.givers:
            giver, given = context.sole_givers.setdefault(name, (rule.id, []))
            if giver == rule.id:
                given.append(points)
                for point in points:
                    setattr(point, name, value)
                continue
            context.givers[name] = {point.key: giver for points in given for point in points}
        _assign_beside(context, rule, points, name, value)
    if reason is not None:
        for point in points:
            point.reasons.append(reason)


def _assign_beside(context: Context, rule: Rule, points: Sequence[PointDraft], name: str, value: Any) -> None:
    """Assign a field that another rule gives a value as well, to these points or to others."""
    givers = context.givers[name]
    for point in points:
        earlier = givers.get(point.key, rule.id)
        if (
            earlier == rule.id
            or earlier in rule.supersedes
            or not _disputed(context, rule, point, name, value)
        ):
            givers[point.key] = rule.id
            setattr(point, name, value)


def _disputed(context: Context, rule: Rule, point: PointDraft, name: str, value: Any) -> bool:
    """Tell whether the value that stands is another; both are then shown as a conflict."""
    before = getattr(point, name)
    if before == value:
        return False
    values = (_plain(before), _plain(value))
    context.conflicts.append(Conflict(point.key, name, (context.givers[name][point.key], rule.id), values))
    return True


def _plain(value: Any) -> Any:
    return value if isinstance(value, str | int | float | None) else repr(value)


def _shaft(context: Context, rule: Rule, shaft: Shaft) -> None:
    context.shafts[shaft.key] = shaft


def _bearing(context: Context, rule: Rule, bearing: Bearing) -> None:
    context.bearings[bearing.key] = bearing
    bearing.shaft.bearings.append(bearing)


def _open_point(context: Context, rule: Rule, item: OpenPoint) -> None:
    context.open_points.setdefault(item.key, item)


def _assumption(context: Context, rule: Rule, item: Assumption) -> None:
    context.assumptions.setdefault(item.field, item)


_ACCEPT: dict[type, Accept] = {
    PointDraft: _point,
    Assign: _assign,
    Strike: _strike,
    Shaft: _shaft,
    Bearing: _bearing,
    OpenPoint: _open_point,
    Assumption: _assumption,
}
# Items that only join a list of the context, in the order they come.
_LISTS: dict[type, str] = {
    AppliedOverride: "applied_overrides",
    GoverningDocument: "governing",
    FrequencyLine: "frequencies",
    Check: "checks",
    JunctionBox: "junction_boxes",
    Rack: "racks",
    Relay: "relays",
    Cable: "cables",
    Interface: "interfaces",
    CauseAndEffect: "cause_and_effect",
    ProcessProtection: "process_protection",
    BillLine: "bill",
    Responsibility: "responsibility",
    ReconciliationLine: "reconciliation",
    str: "architecture_notes",
    dict: "safety_functions",
}


def accepted_types() -> Iterable[type]:
    """Return the types of item a rule may yield."""
    return (*_ACCEPT, *_LISTS)
