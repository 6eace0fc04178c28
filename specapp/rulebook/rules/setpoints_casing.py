"""Casing vibration: alarm by the zones of the machine's group and support, or by a baseline."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Assumption, Measure, OpenPoint, Range, Reading, Setpoints
from specapp.kernel.casing_vibration import (
    ZoneBoundaries,
    alarm_from_baseline_rms_mm_s,
    zone_boundaries_rms_mm_s,
)
from specapp.rulebook.context import Assign, Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.setpoints_radial import class_delay_s
from specapp.rulebook.setpoint_values import (
    Limit,
    candidates,
    governing,
    plain_setpoint,
    rounded_pair,
)
from specapp.rulebook.setting_units import SettingUnit
from specapp.rulebook.trace import Why

Item = Assign | Assumption | OpenPoint


def machine_group(ctx: Context, why: Why) -> int:
    """Return the machine group of the casing zones: by driver power, else as usual for the class."""
    told = ctx.machine.driver
    power_kw = why.fact("driver.power", None if told is None else told.power)
    limit_kw = why.criterion("casing.group_1_power")
    if power_kw is None:
        return 1 if ctx.process else 2
    return 1 if power_kw > limit_kw else 2


def casing_zones(ctx: Context, why: Why) -> tuple[ZoneBoundaries, int, str]:
    """Return zone boundaries, machine group and support in force."""
    group = machine_group(ctx, why)
    support = why.fact("support", ctx.machine.support or "rigid")
    return zone_boundaries_rms_mm_s(group, support), group, support


@rule(id="SET-CAS-010", title="Group and support of the casing zones", phase=Phase.SETPOINTS)
def casing_assumptions(ctx: Context) -> Iterator[Assumption]:
    """Zones differ by size and support; what was not told is assumed openly."""
    if not ctx.of_quantity("casing_vibration"):
        return
    changes = ("casing alarm", "motor casing trip")
    if ctx.machine.driver is None or ctx.machine.driver.power is None:
        why = ctx.why()
        group = machine_group(ctx, why)
        text = f"Driver power not told: machine group {group} of the casing zones, as usual for this class."
        yield Assumption("driver.power", f"machine group {group}", text, changes, 0, (why.say(text),))
    if ctx.machine.support is None:
        why = ctx.why()
        why.fact("support", None)
        text = "Support not told: rigid, the tighter zones."
        yield Assumption("support", "rigid", text, changes, 0, (why.say(text),))


@rule(
    id="SET-CAS-020",
    title="Gear casing alarm",
    phase=Phase.SETPOINTS,
    source="ISO 20816-3 (published in secondary copies)",
    edition="2022",
    status="published",
)
def gear_casing_setpoints(ctx: Context) -> Iterator[Item]:
    """Shaft probes trip; the casing warns of what they cannot see."""
    points = [p for p in ctx.of_quantity("casing_vibration") if p.shaft.kind == "bull_gear"]
    if not points:
        return
    why = ctx.why()
    zones, group, support = casing_zones(ctx, why)
    limits = [Limit("casing.zone", why.criterion("casing.zone") * zones.bc)]
    baseline = ctx.machine.bull_gear.casing_baseline
    if baseline is not None:
        why.fact("bull_gear.casing_baseline", baseline)
        share, cap = why.criterion("casing.baseline"), why.criterion("casing.baseline_cap")
        from_baseline = alarm_from_baseline_rms_mm_s(baseline, zones.bc, share, cap)
        limits = [
            Limit("casing.zone", limits[0].value, governs=False),
            Limit("casing.baseline", from_baseline),
        ]
    governs = governing(limits)
    delay_s = class_delay_s(ctx, why)
    reason = why.say(
        f"Alarm {governs.value:.3g} mm/s r.m.s. by {governs.criterion}; machine group {group}, {support} "
        "support."
    )
    unit = ctx.units.velocity
    signal, range_reason = _velocity_range(ctx)
    value = _rounded(governs.value, unit)
    alarm = plain_setpoint(
        value,
        unit.of(governs.value),
        unit.unit,
        delay_s=delay_s,
        governed_by=governs.criterion,
        candidates=candidates(limits, unit),
        trace=(reason,),
    )
    yield Assign(points, {"range": signal}, range_reason)
    yield Assign(points, {"alarm": alarm}, reason)
    yield from _casing_open_points(ctx, points)


def _rounded(value: float, unit: SettingUnit) -> float:
    return unit.down(unit.of(value))


def _casing_open_points(ctx: Context, points: list[PointDraft]) -> Iterator[Item]:
    if not any(p.shaft.kind == "bull_gear" for p in ctx.of_quantity("radial_vibration")):
        why = ctx.why()
        text = "The bull gear has no shaft probes: a casing trip at the C/D zone boundary is an option."
        yield OpenPoint("casing_trip/BG", "bull_gear.radial_bearings", text, "purchaser", (why.say(text),))
    if points[0].chain == "transmitter":
        why = ctx.why()
        why.fact("installation.chain", points[0].chain)
        text = "A velocity sensor with a 4-20 mA output does not observe the gear mesh."
        yield OpenPoint("casing/mesh", "installation.chain", text, "purchaser", (why.say(text),))


@rule(
    id="SET-CAS-030",
    title="Acceleration of the gear casing",
    phase=Phase.SETPOINTS,
    source="Sterns and Elbs, Turbomachinery Symposium 2017 (no trip on acceleration)",
    edition="2017",
    status="published",
)
def casing_acceleration(ctx: Context) -> Iterator[Item]:
    """Mesh frequencies live in acceleration; its level means little before the machine's own baseline."""
    points = [
        p for p in ctx.of_quantity("casing_vibration") if p.shaft.kind == "bull_gear" and p.chain == "monitor"
    ]
    if not points:
        return
    why = ctx.why()
    alarm_g = why.criterion("casing.acceleration_alarm")
    multiple = why.criterion("casing.acceleration_multiple")
    full_g = why.criterion("range.casing_acceleration")
    if alarm_g > why.criterion("range.casing_acceleration_switch"):
        full_g = why.criterion("range.casing_acceleration_extended")
    delay_s = class_delay_s(ctx, why)
    text = (
        f"Acceleration: alarm inactive until a baseline, placeholder {alarm_g:g} g peak, then {multiple:g} "
        "times the baseline; never a trip."
    )
    reason = why.say(text)
    unit = ctx.units.acceleration
    limits = (Limit("casing.acceleration_alarm", alarm_g),)
    alarm = plain_setpoint(
        unit.down(alarm_g),
        alarm_g,
        "g",
        delay_s=delay_s,
        governed_by="casing.acceleration_alarm",
        candidates=candidates(limits, unit),
        trace=(reason,),
        status="placeholder",
    )
    signal = Range(Measure(0.0, "g"), Measure(full_g, "g"), "peak")
    reading = Reading("casing_acceleration", signal, Setpoints(alarm, None), text)
    yield Assign(points, {"further_readings": (reading,)}, reason)
    yield OpenPoint("baseline/casing_acceleration", "bull_gear.casing_baseline", text, "owner", (reason,))


@rule(
    id="SET-CAS-040",
    title="Motor casing alarm and trip",
    phase=Phase.SETPOINTS,
    source="ISO 20816-3 (published in secondary copies)",
    edition="2022",
    status="published",
)
def motor_casing_setpoints(ctx: Context) -> Iterator[Item]:
    """Without shaft probes the housing is all that protects the motor's bearings."""
    points = [p for p in ctx.of_quantity("casing_vibration") if p.shaft.kind == "driver"]
    if not points:
        return
    why = ctx.why()
    zones, group, support = casing_zones(ctx, why)
    alarm_limits = [Limit("casing.zone", why.criterion("casing.zone") * zones.bc)]
    trip_limits = [Limit("casing.trip_zone", why.criterion("casing.trip_zone") * zones.cd)]
    alarm_mm_s, trip_mm_s = governing(alarm_limits).value, governing(trip_limits).value
    delay_s = class_delay_s(ctx, why)
    reason = why.say(
        f"Motor casing: alarm {alarm_mm_s:.3g}, trip {trip_mm_s:.3g} mm/s r.m.s.; machine group {group}, "
        f"{support} support. One sensor trips alone, 1oo1."
    )
    unit = ctx.units.velocity
    signal, range_reason = _velocity_range(ctx)
    alarm_set, trip_set = rounded_pair(unit.of(alarm_mm_s), unit.of(trip_mm_s), unit)
    yield Assign(points, {"range": signal}, range_reason)
    for point in points:
        alarm = plain_setpoint(
            alarm_set,
            unit.of(alarm_mm_s),
            unit.unit,
            delay_s=delay_s,
            governed_by="casing.zone",
            candidates=candidates(alarm_limits, unit),
            trace=(reason,),
        )
        trip = plain_setpoint(
            trip_set,
            unit.of(trip_mm_s),
            unit.unit,
            delay_s=delay_s,
            governed_by="casing.trip_zone",
            candidates=candidates(trip_limits, unit),
            trace=(reason,),
            voting="1oo1",
            group=point.group,
            on_circuit_fault="alarm; trip on fault or a named time limit is open",
        )
        yield Assign([point], {"alarm": alarm, "trip": trip}, reason)


def _velocity_range(ctx: Context) -> tuple[Range, int]:
    why = ctx.why()
    unit = ctx.units.velocity.unit
    full = why.criterion("range.casing_velocity" if unit == "mm/s" else "range.casing_velocity_us")
    signal = Range(Measure(0.0, unit), Measure(full, unit), "rms")
    return signal, why.say(f"Casing velocity 0 to {full:g} {unit} r.m.s.")
