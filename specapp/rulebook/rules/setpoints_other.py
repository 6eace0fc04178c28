"""Bearing and winding temperatures, and overspeed."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from specapp.domain.proposal import Assumption, Measure, Range
from specapp.rulebook.context import Assign, Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.setpoint_values import Limit, candidates, governing, plain_setpoint
from specapp.rulebook.trace import Why

Item = Assign | Assumption
PERCENT = 100.0


def _temperature_range(ctx: Context, high_key: str) -> tuple[Range, int]:
    why = ctx.why()
    unit = ctx.units.temperature
    low = unit.of(why.criterion("range.temperature_low"))
    high = unit.of(why.criterion(high_key))
    signal = Range(Measure(low, unit.unit), Measure(high, unit.unit), "mean")
    return signal, why.say(f"Pt100, three wires, {low:g} to {high:g} {unit.unit}.")


def _temperature_setpoints(
    ctx: Context,
    groups: list[list[PointDraft]],
    alarm_limits: list[Limit],
    trip_limits: list[Limit],
    why: Why,
    text: str,
    *,
    voting: str | None,
    fault: str,
    high_key: str = "range.temperature_high",
) -> Iterator[Assign]:
    """Assign range, alarm and, where a vote is given, trip to the points of groups of one kind."""
    unit = ctx.units.temperature
    delay_s = why.criterion("delay.temperature")
    reason = why.say(text)
    alarm_by, trip_by = governing(alarm_limits), governing(trip_limits)
    alarm_value, trip_value = unit.of(alarm_by.value), unit.of(trip_by.value)
    alarm = plain_setpoint(
        unit.down(alarm_value),
        alarm_value,
        unit.unit,
        delay_s=delay_s,
        governed_by=alarm_by.criterion,
        candidates=candidates(alarm_limits, unit),
        trace=(reason,),
    )
    signal, range_reason = _temperature_range(ctx, high_key)
    every = [point for points in groups for point in points]
    yield Assign(every, {"range": signal}, range_reason)
    yield Assign(every, {"alarm": alarm}, reason)
    if voting is None:
        return
    trip = plain_setpoint(
        unit.down(trip_value),
        trip_value,
        unit.unit,
        delay_s=delay_s,
        governed_by=trip_by.criterion,
        candidates=candidates(trip_limits, unit),
        trace=(reason,),
        voting=voting,
        on_circuit_fault=fault,
    )
    for points in groups:
        yield Assign(points, {"trip": replace(trip, voting_group=points[0].group)}, None)


@rule(id="SET-TMP-010", title="Bearing temperature alarm and trip", phase=Phase.SETPOINTS)
def bearing_temperatures(ctx: Context) -> Iterator[Item]:
    """Babbitt loses its strength well below melting; only two elements that agree trip the machine."""
    kinds: dict[tuple[str, bool], list[list[PointDraft]]] = {}
    for group, points in ctx.groups.items():
        if points[0].quantity == "bearing_temperature" and points[0].shaft.kind != "driver":
            kind = "thrust" if "/thrust/" in group else "journal"
            kinds.setdefault((kind, len(points) > 1), []).append(points)
    for (kind, two), groups in kinds.items():
        why = ctx.why()
        limit_c = why.criterion("temperature.babbitt_limit")
        rate = why.criterion("temperature.rate_limit")
        alarm_c = why.criterion(f"temperature.{kind}_alarm")
        trip_c = why.criterion(f"temperature.{kind}_trip")
        answer = f"trip {min(trip_c, limit_c):g} by both, 2oo2" if two else "no trip on a single element"
        text = (
            f"{kind.capitalize()} bearing: alarm {alarm_c:g} degC by either element, {answer}. "
            f"Open, short or faster than {rate:g} K/s is a circuit fault."
        )
        yield from _temperature_setpoints(
            ctx,
            groups,
            [Limit(f"temperature.{kind}_alarm", alarm_c)],
            [Limit(f"temperature.{kind}_trip", trip_c), Limit("temperature.babbitt_limit", limit_c)],
            why,
            text,
            voting="2oo2" if two else None,
            fault="alarm; of one faulted the other decides",
        )


@rule(id="SET-TMP-020", title="Motor bearing temperature alarm", phase=Phase.SETPOINTS)
def motor_bearings(ctx: Context) -> Iterator[Item]:
    """One element warns; a trip on it alone is the owner's choice."""
    groups = [
        points
        for points in ctx.groups.values()
        if points[0].quantity == "bearing_temperature" and points[0].shaft.kind == "driver"
    ]
    if not groups:
        return
    why = ctx.why()
    alarm_c = why.criterion("temperature.motor_bearing_alarm")
    trip_c = why.criterion("temperature.motor_bearing_trip")
    text = f"Motor bearing: alarm {alarm_c:g} degC; a trip at {trip_c:g} degC on one element is an option."
    yield from _temperature_setpoints(
        ctx,
        groups,
        [Limit("temperature.motor_bearing_alarm", alarm_c)],
        [Limit("temperature.motor_bearing_trip", trip_c)],
        why,
        text,
        voting=None,
        fault="",
    )


@rule(id="SET-TMP-030", title="Motor winding temperature alarm and trip", phase=Phase.SETPOINTS)
def motor_windings(ctx: Context) -> Iterator[Item]:
    """The temperature-rise class, not the insulation class, says how hot the winding is meant to run."""
    points = ctx.groups.get("M/winding")
    if not points:
        return
    told = ctx.shafts["M"].told.temperature_rise
    rise = told or "B"
    why = ctx.why()
    why.fact("driver.temperature_rise", rise)
    keys = [f"temperature.winding_{rise.lower()}_{level}" for level in ("alarm", "trip")]
    alarm_c, trip_c = (why.criterion(key) for key in keys)
    text = (
        f"Winding, class {rise} rise: alarm {alarm_c:g}, trip {trip_c:g} degC; any one healthy element trips "
        "in the motor relay."
    )
    yield from _temperature_setpoints(
        ctx,
        [points],
        [Limit(keys[0], alarm_c)],
        [Limit(keys[1], trip_c)],
        why,
        text,
        voting="1oo6",
        fault="alarm; the faulted element leaves the vote",
        high_key="range.winding_temperature_high",
    )
    if told is None:
        why = ctx.why()
        why.fact("driver.temperature_rise", None)
        note = "Temperature-rise class not told: B, the cooler one."
        changes = ("winding alarm and trip",)
        yield Assumption("driver.temperature_rise", "B", note, changes, 0, (why.say(note),))


@rule(id="SET-OVS-010", title="Overspeed trip", phase=Phase.SETPOINTS)
def overspeed(ctx: Context) -> Iterator[Item]:
    """Overspeed grows in fractions of a second: no delay, no multiplier, two of three."""
    for group, points in ctx.groups.items():
        if points[0].quantity != "overspeed":
            continue
        shaft = points[0].shaft
        assert shaft.speed_rpm is not None
        why = ctx.why()
        speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
        key = "overspeed.trip_percent"
        if shaft.kind == "driver" and shaft.told.kind == "gas_turbine":
            key = "overspeed.gas_turbine_percent"
        percent = why.criterion(key)
        delay_s = why.criterion("delay.overspeed")
        limits = [Limit(key, speed_rpm * percent / PERCENT)]
        told = getattr(shaft.told, "trip_speed", None)
        if told is not None:
            path = shaft.fact_path("trip_speed")
            why.fact(path, told)
            limits = [Limit(key, limits[0].value, governs=False), Limit(path, told)]
        governs = governing(limits)
        unit = ctx.units.speed
        reason = why.say(
            f"Overspeed of {shaft.key}: trip at {governs.value:.6g} r/min by {governs.criterion}, 2oo3, no "
            "delay; one faulted sensor alarms, two trip."
        )
        trip = plain_setpoint(
            unit.down(governs.value),
            unit.of(governs.value),
            "rpm",
            delay_s=delay_s,
            governed_by=governs.criterion,
            candidates=candidates(limits, unit),
            trace=(reason,),
            voting="2oo3",
            group=group,
            on_circuit_fault="one faulted: alarm; two faulted: trip",
        )
        yield Assign(points, {"trip": trip}, reason)
