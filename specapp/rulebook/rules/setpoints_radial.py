"""Radial vibration: alarm, trip, multiplier while starting, full scale, and the vote of each group."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from msgspec.structs import replace

from specapp.domain.proposal import Check, Measure, Multiplier, OpenPoint, Range
from specapp.kernel.shaft_vibration import is_in_zone_speed_range, zone_boundaries_pp_um
from specapp.rulebook.context import AssignAll, Context, PointDraft, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.facts import TURBINES
from specapp.rulebook.setpoint_values import (
    Limit,
    candidates,
    governing,
    milliamps,
    plain_setpoint,
    rounded_pair,
)
from specapp.rulebook.trace import Why

Item = AssignAll | Check | OpenPoint
Groups = list[tuple[str, list[PointDraft]]]
UM_PER_MM = 1000.0
# Floating-point noise must not put a setpoint that equals the acceptance limit on hold.
NOISE = 1e-9


@dataclass(frozen=True, slots=True)
class RadialLimits:
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
    for group, points in ctx.groups.items():
        if points[0].quantity == "radial_vibration":
            yield group, points


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
        yield from _shaft_setpoints(ctx, groups, limits, delay_s, reason, status)


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
    yield from _shaft_setpoints(ctx, groups, limits, delay_s, reason, "proposed")


def _shaft_setpoints(
    ctx: Context,
    groups: Groups,
    limits: RadialLimits,
    delay_s: float,
    reason: int,
    status: str,
) -> Iterator[Item]:
    """Assign alarm, trip, multiplier and full scale to the groups of one shaft, which share them."""
    shaft = groups[0][1][0].shaft
    every = [point for _, points in groups for point in points]
    unit = ctx.units.displacement
    alarm, trip = unit.of(limits.alarm_um), unit.of(limits.trip_um)
    alarm_set, trip_set = rounded_pair(alarm, trip, unit)
    factor: float = 1.0
    if shaft.kind == "pinion":
        factor, multiplier_items = _multiplier(ctx, groups, unit.canonical(trip_set))
        yield from multiplier_items
    signal, range_items = _full_scale(ctx, groups, trip_set, factor)
    yield from range_items
    voting, fault, voting_reason = _vote(ctx, groups[0][1])
    transmitter = every[0].chain == "transmitter"
    scale_v = ctx.criteria.value("probe.scale_factor") / UM_PER_MM
    floor_um = 0.0 if shaft.acceptance_um is None else shaft.acceptance_um - NOISE

    def volts(value: float) -> float | None:
        return None if transmitter else round(unit.canonical(value) * scale_v, 4)

    alarm_setpoint = plain_setpoint(
        alarm_set,
        alarm,
        unit.unit,
        delay_s=delay_s,
        governed_by=limits.alarm_governed_by,
        candidates=candidates(limits.alarm, unit),
        trace=(reason,),
        status="hold" if limits.alarm_um < floor_um else status,
        milliamps=milliamps(alarm_set, signal) if transmitter else None,
        volts=volts(alarm_set),
    )
    trip_setpoint = plain_setpoint(
        trip_set,
        trip,
        unit.unit,
        delay_s=delay_s,
        governed_by=limits.trip_governed_by,
        candidates=candidates(limits.trip, unit),
        trace=(reason, voting_reason),
        status="hold" if limits.trip_um < floor_um else status,
        milliamps=milliamps(trip_set, signal) if transmitter else None,
        volts=volts(trip_set),
        voting=voting,
        on_circuit_fault=fault,
    )
    yield AssignAll(every, {"alarm": alarm_setpoint}, reason)
    for group, points in groups:
        yield AssignAll(points, {"trip": replace(trip_setpoint, voting_group=group)}, voting_reason)


def _vote(ctx: Context, points: list[PointDraft]) -> tuple[str, str, int]:
    """Return the trip vote of a group, what a faulted leg does to it, and the reason."""
    why = ctx.why()
    told = why.fact("safety.radial_trip_voting", ctx.machine.safety.radial_trip_voting)
    if len(points) == 1:
        text = "One probe trips alone, 1oo1. A circuit fault alarms; what else it does is open."
        return "1oo1", _FAULT["1oo1"], why.say(text)
    voting = told or "1oo2"
    decided = "as decided" if told else "until the purchaser decides"
    text = f"{voting} {decided}. X and Y are components of one motion, not redundant copies" + (
        ": 2oo2 may miss a vibration in one direction." if voting == "2oo2" else "."
    )
    return voting, _FAULT[voting], why.say(text)


_FAULT = {
    "1oo1": "alarm; trip on fault or a named time limit is open",
    "1oo2": "alarm; the faulted leg leaves the vote, the other decides",
    "2oo2": "alarm; the faulted leg leaves the vote, the survivor decides",
    "trip_with_alarm": "alarm; the faulted leg leaves the vote, the other decides",
}


def _multiplier(ctx: Context, groups: Groups, trip_um: float) -> tuple[float, list[Item]]:
    """Return the factor while starting and its items: multiplier, check, open point."""
    shaft = groups[0][1][0].shaft
    entered = shaft.told.setpoint_multiplier
    critical_rpm = shaft.told.first_critical_speed
    crosses = critical_rpm is not None and shaft.speed_rpm is not None and critical_rpm < shaft.speed_rpm
    if not crosses and (entered is None or entered <= 1):
        return 1.0, []
    why = ctx.why()
    why.fact(shaft.fact_path("setpoint_multiplier"), entered)
    why.fact(shaft.fact_path("first_critical_speed"), critical_rpm)
    share = why.criterion("radial.multiplied_trip_share")
    room_um = None
    if shaft.clearance_mm is not None:
        room_um = share * why.fact(shaft.fact_path("diametral_clearance"), shaft.clearance_mm) * UM_PER_MM
    factor = entered if entered is not None else _proposed_factor(shaft, why, trip_um, room_um)
    items: list[Item] = []
    if crosses:
        items.append(_critical_open_point(shaft, why, factor, trip_um, room_um))
        why = ctx.why()
    if factor > 1:
        why.fact(shaft.fact_path("setpoint_multiplier"), entered)
        time_out_s = why.criterion("radial.multiplier_time_out")
        reason = why.say(
            f"Radial setpoints of {shaft.key} times {factor:g} while starting, for {time_out_s:g} s at most."
        )
        multiplier = Multiplier(factor, "start contact", Measure(time_out_s, "s"), (reason,))
        for group, points in groups:
            items.append(AssignAll(points, {"multiplier": multiplier}, reason))
            items.append(_multiplied_check(group, shaft, factor, trip_um, room_um, reason))
    return max(factor, 1.0), items


def _proposed_factor(shaft: Shaft, why: Why, trip_um: float, room_um: float | None) -> float:
    """Return the factor proposed without an entry: 2 where resonance is sharp and the clearance has room."""
    sharpness = why.fact(shaft.fact_path("amplification_factor"), shaft.told.amplification_factor)
    threshold = why.criterion("radial.multiplier_amplification")
    factor = why.criterion("radial.multiplier_factor")
    if sharpness is None or sharpness <= threshold or room_um is None:
        return 1.0
    return factor if factor * trip_um <= room_um + NOISE else 1.0


def _critical_open_point(
    shaft: Shaft, why: Why, factor: float, trip_um: float, room_um: float | None
) -> OpenPoint:
    start = (
        f"{shaft.key} passes a critical speed at {shaft.told.first_critical_speed:.6g} r/min while starting: "
    )
    if factor > 1:
        text = start + f"a setpoint multiplier of {factor:g} is proposed; the maker confirms the run-up."
    elif room_um is None:
        text = start + "without the bearing clearance no multiplier can be sized."
    else:
        text = start + f"no multiplier is proposed; the largest factor that fits is {room_um / trip_um:.2f}."
    missing = shaft.fact_path("amplification_factor")
    if room_um is None:
        missing = shaft.fact_path("journal_diameter")
    elif shaft.told.amplification_factor is not None:
        missing = shaft.fact_path("setpoint_multiplier")
    return OpenPoint(f"multiplier/{shaft.key}", missing, text, "maker", (why.say(text),))


def _multiplied_check(
    group: str, shaft: Shaft, factor: float, trip_um: float, room_um: float | None, reason: int
) -> Check:
    name = "setpoint.multiplied_trip"
    multiplied_um = factor * trip_um
    if room_um is None:
        needs = shaft.fact_path("journal_diameter")
        text = f"Multiplied trip {multiplied_um:.1f} um p-p: no bearing clearance to hold it against."
        measured = Measure(multiplied_um, "um")
        return Check(name, group, "not_evaluated", measured, None, text, (), needs, (reason,))
    passes = multiplied_um <= room_um + NOISE
    text = f"Multiplied trip {multiplied_um:.1f} um p-p against {room_um:.1f} um of the clearance."
    remedies = () if passes else (f"A factor of at most {room_um / trip_um:.2f}.",)
    return Check(
        name,
        group,
        "pass" if passes else "fail",
        Measure(multiplied_um, "um"),
        Measure(room_um, "um"),
        text,
        remedies,
        None,
        (reason,),
    )


_STEPS = {"monitor": 3, "transmitter": 5}


def _full_scale(ctx: Context, groups: Groups, trip: float, factor: float) -> tuple[Range, list[Item]]:
    """Return the first full scale that leaves room above the trip, with the check of it."""
    chain = groups[0][1][0].chain
    unit = ctx.units.displacement.unit
    why = ctx.why()
    scales = [why.criterion(f"range.{chain}_{unit}_{step + 1}") for step in range(_STEPS[chain])]
    needed = why.criterion("range.full_scale_multiple") * trip
    ceiling = why.criterion("range.multiplied_trip_share")
    why.fact("setting_units", ctx.machine.setting_units)
    fitting = [full for full in scales if full >= needed - NOISE and factor * trip <= ceiling * full + NOISE]
    full = fitting[0] if fitting else scales[-1]
    multiplied = f", {factor:g} times it within {ceiling:.0%}" if factor > 1 else ""
    text = f"Full scale {full:g} {unit} p-p: at least twice the trip of {trip:g}{multiplied}."
    remedies: tuple[str, ...] = ()
    if not fitting:
        text = f"No full scale leaves room above the trip of {trip:g} {unit} p-p; the largest is shown."
        remedies = ("A transducer chain with a larger range.", "A lower multiplier or trip.")
    reason = why.say(text)
    signal = Range(Measure(0.0, unit), Measure(full, unit), "pp")
    result = "pass" if fitting else "fail"
    measured, limit = Measure(full, unit), Measure(needed, unit)
    items: list[Item] = []
    for group, points in groups:
        items.append(AssignAll(points, {"range": signal}, reason))
        items.append(
            Check("range.full_scale", group, result, measured, limit, text, remedies, None, (reason,))
        )
    return signal, items


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
