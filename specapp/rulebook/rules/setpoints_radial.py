"""Radial vibration: alarm, trip and the vote of each group."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from specapp.domain.proposal import OpenPoint, Record, Setpoint
from specapp.kernel.shaft_vibration import is_in_zone_speed_range, zone_boundaries_pp_um
from specapp.rulebook.context import Assign, Context, PointDraft, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.facts import TURBINES
from specapp.rulebook.setpoint_values import (
    Limit,
    candidates,
    governing,
    plain_setpoint,
    rounded_pair,
)
from specapp.rulebook.trace import Why

Item = Assign | OpenPoint
Groups = list[tuple[str, list[PointDraft]]]
# Vote, answer to a circuit fault and reason, by the number of legs.
Votes = dict[int, tuple[str, str, int]]
UM_PER_MM = 1000.0
# Floating-point noise must not put a setpoint that equals the acceptance limit on hold.
NOISE = 1e-9


class RadialLimits(Record, frozen=True):
    """Candidates and result for one shaft, um p-p; every bearing of a shaft has the same."""

    alarm: tuple[Limit, ...]
    trip: tuple[Limit, ...]
    alarm_um: float
    trip_um: float
    alarm_governed_by: str
    trip_governed_by: str
    zone_note: str


def class_delay_s(ctx: Context, why: Why) -> float:
    """Return the delay of vibration setpoints for the service class [s]."""
    why.fact("service_class", ctx.machine.service_class)
    return why.criterion("delay.process" if ctx.process else "delay.packaged_air")


def radial_groups(ctx: Context) -> Iterator[tuple[str, list[PointDraft]]]:
    """Yield the radial voting groups with their points."""
    for points in ctx.groups_of("radial_vibration"):
        yield points[0].group, points


def groups_by_trip(ctx: Context) -> Iterator[tuple[Shaft, float, Groups]]:
    """Yield the radial groups of each shaft that share chain and trip, with that trip in setting units."""
    shared: dict[tuple[str, str, float], Groups] = {}
    for group, points in radial_groups(ctx):
        trip = points[0].trip
        if trip is not None and trip.value is not None:
            shared.setdefault((points[0].shaft.key, points[0].chain, trip.value), []).append((group, points))
    for (key, _, value), groups in shared.items():
        yield ctx.shafts[key], value, groups


def _limits(shaft: Shaft, why: Why, *, clearance: bool) -> RadialLimits:
    """Return the candidates of one shaft and which of them govern."""
    assert shaft.speed_rpm is not None
    assert shaft.acceptance_um is not None
    limit_um = why.fact(f"{shaft.key}.acceptance_limit_um", shaft.acceptance_um)
    speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
    _, bc_um, cd_um = zone_boundaries_pp_um(speed_rpm)
    inside = is_in_zone_speed_range(speed_rpm)
    trip = [
        Limit("radial.trip_multiple", why.criterion("radial.trip_multiple") * limit_um),
        Limit("radial.trip_zone", why.criterion("radial.trip_zone") * cd_um),
    ]
    alarm = [
        Limit("radial.alarm_multiple", why.criterion("radial.alarm_multiple") * limit_um),
        Limit("radial.alarm_zone", why.criterion("radial.alarm_zone") * bc_um),
    ]
    if clearance:
        alarm.append(_clearance_limit(shaft, why, "radial.alarm_clearance"))
        trip.append(_clearance_limit(shaft, why, "radial.trip_clearance"))
    baseline_um = getattr(shaft.told, "baseline_vibration", None)
    if baseline_um is not None:
        why.fact(shaft.fact_path("baseline_vibration"), baseline_um)
        from_baseline_um = baseline_um + why.criterion("radial.baseline") * bc_um
        alarm.append(Limit("radial.baseline", max(limit_um, from_baseline_um)))
    trip_by = governing(trip)
    separated_um = trip_by.value / why.criterion("radial.minimum_separation")
    alarm.append(Limit("radial.minimum_separation", separated_um))
    alarm_by = governing(alarm)
    note = "" if inside else " Zones outside the standard's speed range, 120 to 30 000 r/min."
    return RadialLimits(
        tuple(alarm), tuple(trip), alarm_by.value, trip_by.value, alarm_by.criterion, trip_by.criterion, note
    )


def _clearance_limit(shaft: Shaft, why: Why, key: str) -> Limit:
    share = why.criterion(key)
    if shaft.clearance_mm is None:
        return Limit(key, None, needs=shaft.fact_path("journal_diameter"))
    why.fact(shaft.fact_path("diametral_clearance"), shaft.clearance_mm)
    if shaft.clearance_assumed:
        why.fact(shaft.fact_path("journal_diameter"), shaft.journal_mm)
    return Limit(key, share * shaft.clearance_mm * UM_PER_MM)


@rule(id="SET-RAD-010", title="Radial alarm and trip", phase=Phase.SETPOINTS)
def radial_setpoints(ctx: Context) -> Iterator[Item]:
    """The tightest of test limit, standard zone and bearing clearance protects; none of them alone does."""
    by_shaft: dict[str, Groups] = {}
    votes: Votes = {}
    for group, points in radial_groups(ctx):
        shaft = points[0].shaft
        if shaft.kind != "driver" or shaft.told.kind in TURBINES:
            by_shaft.setdefault(shaft.key, []).append((group, points))
    for key, groups in by_shaft.items():
        shaft = ctx.shafts[key]
        turbine = shaft.kind == "driver"
        why = ctx.why()
        limits = _limits(shaft, why, clearance=not turbine)
        delay_s = class_delay_s(ctx, why)
        reason = why.say(
            f"{key}: alarm {limits.alarm_um:.2f} um p-p by {limits.alarm_governed_by}, trip "
            f"{limits.trip_um:.2f} um p-p by {limits.trip_governed_by}; rounded down.{limits.zone_note}"
        )
        status = "placeholder" if turbine else "proposed"
        if turbine:
            text = (
                "Turbine vibration setpoints are placeholders until the turbine maker's values are entered."
            )
            yield OpenPoint("setpoints/M/radial", "driver.kind", text, "maker", (reason,))
        yield from _shaft_setpoints(ctx, groups, limits, delay_s, reason, status, votes)


@rule(id="SET-RAD-020", title="Radial alarm and trip of motor sleeve bearings", phase=Phase.SETPOINTS)
def motor_setpoints(ctx: Context) -> Iterator[Item]:
    """A motor has no acceptance curve of this kind; fixed values stand until the motor maker gives his."""
    groups = [(g, p) for g, p in radial_groups(ctx) if p[0].shaft.kind == "driver"]
    if not groups or ctx.shafts["M"].told.kind in TURBINES:
        return
    why = ctx.why()
    why.fact("driver.bearings", "sleeve")
    trip_um = why.criterion("motor.radial_trip")
    trip = Limit("motor.radial_trip", trip_um)
    alarm = (
        Limit("motor.radial_alarm", why.criterion("motor.radial_alarm")),
        Limit("radial.minimum_separation", trip_um / why.criterion("radial.minimum_separation")),
    )
    governs = governing(alarm)
    limits = RadialLimits(alarm, (trip,), governs.value, trip_um, governs.criterion, trip.criterion, "")
    delay_s = class_delay_s(ctx, why)
    reason = why.say(f"Motor sleeve bearings: alarm {alarm[0].value:g}, trip {trip_um:g} um p-p, fixed.")
    yield from _shaft_setpoints(ctx, groups, limits, delay_s, reason, "proposed", {})


def _shaft_setpoints(
    ctx: Context,
    groups: Groups,
    limits: RadialLimits,
    delay_s: float,
    reason: int,
    status: str,
    votes: Votes,
) -> Iterator[Item]:
    """Assign alarm and trip to the groups of one shaft, which share them; votes are shared by all shafts."""
    shaft = groups[0][1][0].shaft
    every = [point for _, points in groups for point in points]
    unit = ctx.units.displacement
    alarm, trip = unit.of(limits.alarm_um), unit.of(limits.trip_um)
    alarm_set, trip_set = rounded_pair(alarm, trip, unit)
    floor_um = 0.0 if shaft.acceptance_um is None else shaft.acceptance_um - NOISE

    alarm_setpoint = plain_setpoint(
        alarm_set,
        alarm,
        unit.unit,
        delay_s=delay_s,
        governed_by=limits.alarm_governed_by,
        candidates=candidates(limits.alarm, unit),
        trace=(reason,),
        status="hold" if limits.alarm_um < floor_um else status,
    )
    yield Assign(every, {"alarm": alarm_setpoint}, reason)
    trip_candidates = candidates(limits.trip, unit)
    trips: dict[int, Setpoint] = {}
    for group, points in groups:
        legs = len(points)
        if legs not in votes:
            votes[legs] = _vote(ctx, points)
        voting, fault, voting_reason = votes[legs]
        if legs not in trips:
            trips[legs] = plain_setpoint(
                trip_set,
                trip,
                unit.unit,
                delay_s=delay_s,
                governed_by=limits.trip_governed_by,
                candidates=trip_candidates,
                trace=(reason, voting_reason),
                status="hold" if limits.trip_um < floor_um else status,
                voting=voting,
                on_circuit_fault=fault,
            )
        yield Assign(points, {"trip": replace(trips[legs], voting_group=group)}, voting_reason)


def _vote(ctx: Context, points: list[PointDraft]) -> tuple[str, str, int]:
    """Return the trip vote of a group, what a faulted leg does to it, and the reason."""
    why = ctx.why()
    told = why.fact("safety.radial_trip_voting", ctx.machine.safety.radial_trip_voting)
    if len(points) == 1:
        text = "One probe trips alone, 1oo1. A circuit fault alarms; what else it does is open."
        return "1oo1", FAULT["1oo1"], why.say(text)
    voting = told or "1oo2"
    decided = "as decided" if told else "until the purchaser decides"
    text = f"{voting} {decided}. X and Y are components of one motion, not redundant copies" + (
        ": 2oo2 may miss a vibration in one direction." if voting == "2oo2" else "."
    )
    return voting, FAULT[voting], why.say(text)


FAULT = {
    "1oo1": "alarm; trip on fault or a named time limit is open",
    "1oo2": "alarm; the faulted leg leaves the vote, the other decides",
    "2oo2": "alarm; the faulted leg leaves the vote, the survivor decides",
    "trip_with_alarm": "alarm; the faulted leg leaves the vote, the other decides",
}


@rule(id="SET-VOT-010", title="Trip vote of XY pairs is the purchaser's", phase=Phase.SETPOINTS)
def radial_vote_is_decided(ctx: Context) -> Iterator[OpenPoint]:
    """1oo2 never misses and trips needlessly more often; which of the two costs more is the owner's."""
    if ctx.machine.safety.radial_trip_voting is not None:
        return
    pairs = [group for group, points in radial_groups(ctx) if len(points) > 1]
    if not pairs:
        return
    why = ctx.why()
    why.fact("safety.radial_trip_voting", None)
    text = f"Trip vote of {len(pairs)} XY pairs: 1oo2 until the purchaser decides."
    reason = why.say(text)
    yield OpenPoint("radial_trip_voting", "safety.radial_trip_voting", text, "purchaser", (reason,))
