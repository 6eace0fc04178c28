"""Turn the finished context into the frozen proposal: order, weights, verdict, criteria used."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from functools import lru_cache
from itertools import chain
from typing import Any

from msgspec.structs import replace

from specapp.criteria.criterion import Criterion
from specapp.criteria.loader import CriteriaSet
from specapp.domain.overrides import AppliedOverride
from specapp.domain.proposal import (
    FORMAT,
    Architecture,
    Assumption,
    Installation,
    Measure,
    Point,
    Proposal,
    RuleOutcome,
    Setpoints,
    ShaftLine,
)
from specapp.domain.reading import machine_json
from specapp.kernel.speeds import rotation_frequency_hz
from specapp.rulebook.cautions import CAUTIONS
from specapp.rulebook.context import Cable, Cited, Context, PointDraft, Shaft
from specapp.rulebook.registry import RULEBOOK_VERSION
from specapp.rulebook.verdict import verdict


def freeze(context: Context, outcomes: tuple[RuleOutcome, ...]) -> Proposal:
    """Return the proposal. Reads the context only; decides nothing an engineer would decide."""
    assumptions = _weighed(context)
    points = tuple(_point(context, draft) for draft in context.points.values())
    criteria = _criteria_used(context.criteria, tuple(context.cited))
    overrides = _overrides(context)
    return Proposal(
        format=FORMAT,
        machine=_normalised(context),
        rulebook_version=RULEBOOK_VERSION,
        criteria_digest=context.criteria.digest,
        verdict=verdict(context, points, assumptions, criteria, overrides),
        governing=tuple(context.governing),
        assumptions=assumptions,
        open_points=tuple(context.open_points.values()),
        shafts=tuple(_shaft_line(shaft) for shaft in context.shafts.values()),
        frequencies=tuple(context.frequencies),
        points=points,
        checks=tuple(context.checks),
        architecture=Architecture(
            tuple(context.junction_boxes),
            tuple(context.racks),
            tuple(context.relays),
            sum(rack.power_supplies for rack in context.racks),
            tuple(_cable(cable) for cable in context.cables),
            tuple(context.interfaces),
            tuple(context.architecture_notes),
        ),
        safety_functions=tuple(context.safety_functions),
        cause_and_effect=tuple(context.cause_and_effect),
        process_protection=tuple(context.process_protection),
        bill_of_materials=tuple(context.bill),
        responsibility=tuple(context.responsibility),
        reconciliation=tuple(context.reconciliation),
        conflicts=tuple(context.conflicts),
        overrides=overrides,
        criteria=criteria,
        rules=outcomes,
        cautions=CAUTIONS,
        trace=tuple(context.trace),
    )


def _weighed(context: Context) -> tuple[Assumption, ...]:
    """Sort the assumptions by how many recorded reasons rest on each."""
    assumed = {item.field for item in context.assumptions.values()}
    apart = assumed.isdisjoint
    resting = [reason.reads for reason in context.trace if not apart(reason.reads)]
    reads = Counter(chain.from_iterable(map(assumed.intersection, resting)))
    weighed = [replace(item, weight=max(1, reads[item.field])) for item in context.assumptions.values()]
    return tuple(sorted(weighed, key=lambda item: -item.weight))


def _normalised(context: Context) -> Mapping[str, Any]:
    """Return the description in canonical numbers with names, speeds and stages filled in."""
    document = machine_json(context.machine)
    for entry, shaft in zip(
        document["pinions"], (s for s in context.shafts.values() if s.kind == "pinion"), strict=True
    ):
        entry["name"] = shaft.key
        entry["speed"] = shaft.speed_rpm
        if shaft.stages:
            entry["stages"] = list(shaft.stages)
    return document


def _overrides(context: Context) -> tuple[AppliedOverride, ...]:
    """Return the overrides that found their item, then those whose item has gone: listed, never dropped."""
    found = {(item.item, item.field) for item in context.applied_overrides}
    gone = (
        AppliedOverride(
            item.item,
            item.field,
            item.value,
            None,
            item.reason,
            item.author,
            item.at,
            "item gone",
            "Nothing in this proposal goes by this key, or it has no such value.",
        )
        for item in context.overrides
        if (item.item, item.field) not in found
    )
    return (*context.applied_overrides, *gone)


def _shaft_line(shaft: Shaft) -> ShaftLine:
    speed = shaft.speed_rpm
    return ShaftLine(
        name=shaft.key,
        maker_name=getattr(shaft.told, "maker_name", None),
        kind=shaft.kind,
        speed=None if speed is None else Measure(speed, "rpm"),
        rotation_frequency=None if speed is None else Measure(rotation_frequency_hz(speed), "Hz"),
        ratio=shaft.ratio,
        acceptance_limit=None if shaft.acceptance_um is None else Measure(shaft.acceptance_um, "um"),
        stages=shaft.stages,
    )


def _point(context: Context, draft: PointDraft) -> Point:
    assert draft.transducer is not None, f"no rule gave {draft.key} a transducer"
    angle, loaded, bearing = draft.angle_deg, draft.loaded_direction_deg, draft.bearing
    return Point(
        key=draft.key,
        tag=draft.tag,
        tags=draft.tags,
        title=draft.title,
        quantity=draft.quantity,
        shaft=draft.shaft.key,
        bearing=None if bearing is None else bearing.key,
        stage=None if bearing is None else bearing.stage,
        direction=draft.direction,
        angle=None if angle is None else Measure(angle, "deg"),
        transducer=draft.transducer,
        chain=draft.chain,
        range=draft.range,
        setpoints=Setpoints(draft.alarm, draft.trip),
        multiplier=draft.multiplier,
        further_readings=draft.further_readings,
        voting_group=draft.group,
        installation=Installation(
            draft.zone,
            draft.division,
            draft.equipment_protection_level,
            draft.protection,
            draft.required_marking,
            draft.location,
            None if loaded is None else Measure(loaded, "deg"),
            draft.junction_box,
            draft.frequency_group,
            draft.notes,
        ),
        supplied_by=draft.supplied_by,
        because=tuple(map(context.trace.__getitem__, dict.fromkeys(draft.reasons))),
    )


def _cable(cable: Cable) -> Mapping[str, Any]:
    length = None if cable.length_m is None else {"value": cable.length_m, "unit": "m"}
    return {
        "from": cable.start,
        "to": cable.end,
        "kind": cable.kind,
        "length": length,
        "points": list(cable.points),
    }


@lru_cache(maxsize=32)
def _criteria_used(criteria: CriteriaSet, cited: tuple[Cited, ...]) -> tuple[Mapping[str, Any], ...]:
    """Return every criterion that was read, with the rules that read it.

    Kept for the sets of rules and criteria met last: machines alike read alike.
    """
    users: dict[str, set[str]] = {}
    for rule_id, keys in cited:
        for key in keys:
            users.setdefault(key, set()).add(rule_id)
    return tuple(_criterion_used(criteria.get(key), sorted(users[key])) for key in sorted(users))


def _criterion_used(criterion: Criterion, users: list[str]) -> dict[str, Any]:
    return {
        "key": criterion.key,
        "title": criterion.title,
        "value": criterion.value,
        "unit": criterion.unit,
        "status": criterion.status,
        "source": criterion.source,
        "edition": criterion.edition,
        "valid_from": criterion.valid_from.isoformat(),
        "note": criterion.note,
        "override": criterion.override,
        "used_by": users,
    }
