"""Radial vibration points of the gear casing: which bearings get one probe, which a pair."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import OpenPoint
from specapp.rulebook.context import Bearing, Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.trace import Why

DIAGONAL = "plus_minus_45"


def machine_chain(ctx: Context) -> str:
    """Return the chain of vibration and position signals: told, or by class and criticality."""
    told = ctx.machine.installation.chain
    if told is not None:
        return told
    return "monitor" if ctx.process or ctx.criticality == "critical" else "transmitter"


def radial_points(
    ctx: Context, bearing: Bearing, *, pair: bool, diagonal: bool, reason: int
) -> Iterator[PointDraft]:
    """Return the Y point of a bearing, and its X point where a pair is asked."""
    shaft = bearing.shaft
    prefix = bearing.key if shaft.kind == "driver" else f"{shaft.key}/{bearing.key}"
    group = f"{prefix}/radial"
    angle_key = "diagonal" if diagonal else "igc"
    chain = machine_chain(ctx)
    for direction in ("Y", "X") if pair else ("Y",):
        key = f"{group}/{direction}"
        yield PointDraft(
            key=key,
            title=_title(bearing, direction),
            quantity="radial_vibration",
            shaft=shaft,
            group=group if pair else key,
            chain=chain,
            reasons=[reason],
            bearing=bearing,
            suffix=direction,
            direction=direction,
            angle_deg=ctx.criteria.value(f"orientation.{angle_key}_{direction.lower()}"),
        )


def _title(bearing: Bearing, direction: str) -> str:
    where = {"bull_gear": "bull gear", "driver": "driver"}.get(
        bearing.shaft.kind, f"pinion {bearing.shaft.key}"
    )
    stage = ""
    if bearing.stage is not None:
        stage = f" ({'expander ' if bearing.expander else ''}stage {bearing.stage})"
    elif bearing.shaft.kind == "pinion":
        stage = " (no impeller)"
    return f"Radial vibration, {where}, bearing {bearing.key}{stage}, {direction}"


def _orientation(ctx: Context) -> tuple[bool, str]:
    """Return whether probes stand diagonally, recording what decided it."""
    diagonal = ctx.machine.installation.probe_angles == DIAGONAL
    return diagonal, "315 and 45 deg" if diagonal else "0 and 90 deg"


def _pair(ctx: Context) -> bool:
    """Return whether an impeller end gets a pair: process always, packaged where critical."""
    return ctx.process or ctx.criticality == "critical"


@rule(id="PTS-RAD-010", title="Radial probe at each impeller", phase=Phase.POINTS)
def probe_at_each_impeller(ctx: Context) -> Iterator[PointDraft]:
    """An overhung impeller shows its unbalance, rub and surge at its own bearing first."""
    diagonal, angles = _orientation(ctx)
    pair = _pair(ctx)
    for bearing in ctx.bearings.values():
        if bearing.shaft.kind != "pinion" or bearing.stage is None:
            continue
        why = ctx.why()
        why.fact("service_class", ctx.machine.service_class)
        why.fact("criticality", ctx.criticality)
        why.fact(bearing.shaft.fact_path("stages"), list(bearing.shaft.stages))
        _read_angles(ctx, why, diagonal)
        probes = "Y and X, a pair" if pair else "one probe, Y"
        reason = why.say(
            f"Bearing {bearing.key} carries the impeller of stage {bearing.stage}: {probes}, at "
            f"{angles if pair else angles.split(' and ')[0] + ' deg'} clockwise from the top, seen from "
            "the driver."
        )
        yield from radial_points(ctx, bearing, pair=pair, diagonal=diagonal, reason=reason)


def _read_angles(ctx: Context, why: Why, diagonal: bool) -> None:
    why.fact("installation.probe_angles", ctx.machine.installation.probe_angles)
    name = "diagonal" if diagonal else "igc"
    why.criterion(f"orientation.{name}_y")
    why.criterion(f"orientation.{name}_x")


@rule(id="PTS-RAD-020", title="Pinion end without impeller", phase=Phase.POINTS)
def blind_pinion_end(ctx: Context) -> Iterator[PointDraft | OpenPoint]:
    """The blind end moves too, but a packaged machine is often built without a probe there."""
    diagonal, angles = _orientation(ctx)
    for bearing in ctx.bearings.values():
        if bearing.shaft.kind != "pinion" or bearing.stage is not None:
            continue
        why = ctx.why()
        why.fact("service_class", ctx.machine.service_class)
        why.fact(bearing.shaft.fact_path("stage_sides"), bearing.side)
        if not ctx.process:
            text = f"Bearing {bearing.key} has no impeller beside it: whether it gets a radial probe is open."
            reason = why.say(text)
            yield OpenPoint(
                f"radial/{bearing.key}", bearing.shaft.fact_path("stage_sides"), text, "purchaser", (reason,)
            )
            continue
        _read_angles(ctx, why, diagonal)
        reason = why.say(
            f"Bearing {bearing.key} has no impeller beside it; a process pinion is watched at both "
            f"bearings: Y and X, at {angles}."
        )
        yield from radial_points(ctx, bearing, pair=True, diagonal=diagonal, reason=reason)


@rule(id="PTS-RAD-030", title="Radial probes at the bull gear", phase=Phase.POINTS)
def bull_gear_probes(ctx: Context) -> Iterator[PointDraft | OpenPoint]:
    """A large bull gear loads its bearings with the whole power; below a megawatt pairs rarely pay."""
    shaft = ctx.shafts["BG"]
    if not ctx.process or not shaft.fluid_film:
        return
    diagonal, angles = _orientation(ctx)
    why = ctx.why()
    why.fact("criticality", ctx.criticality)
    why.fact("bull_gear.radial_bearings", "fluid_film")
    if ctx.criticality != "critical":
        power_kw = why.fact("driver.power", ctx.machine.driver.power if ctx.machine.driver else None)
        limit_kw = why.criterion("points.bull_gear_probe_power")
        if power_kw is None:
            text = f"Driver power not told: bull gear probes are proposed from {limit_kw:g} kW."
            yield OpenPoint("radial/BG", "driver.power", text, "owner", (why.say(text),))
            return
        if power_kw < limit_kw:
            return
    _read_angles(ctx, why, diagonal)
    reason = why.say(f"Each journal bearing of the bull gear: Y and X, at {angles}.")
    for bearing in shaft.bearings:
        yield from radial_points(ctx, bearing, pair=True, diagonal=diagonal, reason=reason)
