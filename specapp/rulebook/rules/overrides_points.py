"""Overrides of which points there are, where they look and which chain carries them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from specapp.domain.overrides import Override
from specapp.domain.proposal import AppliedOverride
from specapp.rulebook.context import Assign, Context, PointDraft, Shaft, Strike
from specapp.rulebook.overriding import applied, overriding_reason
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.points_axial import axial_points
from specapp.rulebook.rules.points_other import element_chain
from specapp.rulebook.rules.points_radial import DIAGONAL, machine_chain, radial_points

Item = PointDraft | Strike | Assign | AppliedOverride
_RADIAL = re.compile(r"(?:[^/]+/)?([^/]+)/radial/([YX])")
_AXIAL = re.compile(r"([^/]+)/axial/([AB])")
_PHASE = re.compile(r"([^/]+)/phase")
_CASING = re.compile(r"(?:BG/)?([^/]+)/casing")
_TEMPERATURE = re.compile(r"(?:[^/]+/)?([^/]+)/temperature/([AB])")


@rule(id="OVR-PTS-010", title="Points added and struck by override", phase=Phase.POINTS)
def points_added_and_struck(ctx: Context) -> Iterator[Item]:
    """The engineer knows what the casing has room for and what the owner will pay for."""
    for item in ctx.overrides_of("added", "struck"):
        known = ctx.points.get(item.item)
        if item.field == "struck" and known is not None:
            overriding_reason(ctx, item, "proposed")
            yield Strike(item.item)
            yield applied(item, "proposed", known.shaft)
        elif item.field == "added" and known is None:
            draft = _added(ctx, item)
            if draft is not None:
                yield draft
                yield applied(item, None, draft.shaft)


def _added(ctx: Context, item: Override) -> PointDraft | None:
    """Return the point that a key names, where this machine has such a place."""
    key, chain = item.item, machine_chain(ctx)
    if found := _RADIAL.fullmatch(key):
        bearing = ctx.bearings.get(found[1])
        if bearing is not None and (bearing.shaft.fluid_film or bearing.shaft.kind == "pinion"):
            diagonal = bearing.shaft.kind == "driver" or ctx.machine.installation.probe_angles == DIAGONAL
            reason = overriding_reason(ctx, item, None)
            drafts = radial_points(ctx, bearing, pair=True, diagonal=diagonal, reason=reason)
            return next((draft for draft in drafts if draft.key == key), None)
    if (found := _AXIAL.fullmatch(key)) and (shaft := ctx.shafts.get(found[1])) is not None:
        drafts = axial_points(ctx, shaft, (found[2],), overriding_reason(ctx, item, None))
        return next(drafts, None)
    if (found := _PHASE.fullmatch(key)) and (shaft := ctx.shafts.get(found[1])) is not None:
        carried = "monitor" if chain == "monitor" else "direct"
        return _plain(ctx, item, "Phase reference", "phase_reference", shaft, carried)
    if (found := _CASING.fullmatch(key)) and (bearing := ctx.bearings.get(found[1])) is not None:
        draft = _plain(ctx, item, "Casing vibration", "casing_vibration", bearing.shaft, chain)
        draft.bearing = bearing
        return draft
    if (found := _TEMPERATURE.fullmatch(key)) and (bearing := ctx.bearings.get(found[1])) is not None:
        carried = element_chain(ctx)
        draft = _plain(ctx, item, "Bearing temperature", "bearing_temperature", bearing.shaft, carried)
        draft.bearing, draft.suffix = bearing, found[2]
        return draft
    return None


def _plain(ctx: Context, item: Override, what: str, quantity: str, shaft: Shaft, chain: str) -> PointDraft:
    place = item.item.rpartition("/")[0] or shaft.key
    reason = overriding_reason(ctx, item, None)
    return PointDraft(item.item, f"{what}, {place}", quantity, shaft, item.item, chain, [reason])


@rule(
    id="OVR-PTS-020",
    title="Orientation and chain by override",
    phase=Phase.POINTS,
)
def orientation_and_chain(ctx: Context) -> Iterator[Item]:
    """A boss already cast or a card already bought decides more than a default can."""
    names = {"angle": "angle_deg", "chain": "chain"}
    for item in ctx.overrides_of(*names):
        point = ctx.points.get(item.item)
        if point is None:
            continue
        rule_value = getattr(point, names[item.field])
        if rule_value is None:
            continue
        unit = "deg" if item.field == "angle" else ""
        reason = overriding_reason(ctx, item, rule_value, unit)
        yield Assign((point,), {names[item.field]: item.value}, reason)
        yield applied(item, rule_value, point.shaft, unit)
