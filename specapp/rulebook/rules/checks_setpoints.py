"""Checks of the setpoints themselves."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Check, Measure, OpenPoint
from specapp.rulebook.context import Context
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.setpoints_radial import NOISE, radial_groups


@rule(id="CHK-SET-010", title="Setpoints above the acceptance limit", phase=Phase.CHECKS)
def above_acceptance(ctx: Context) -> Iterator[Check]:
    """A setpoint below the acceptance limit would stop a machine that has just passed its test."""
    for group, points in radial_groups(ctx):
        shaft, alarm, trip = points[0].shaft, points[0].alarm, points[0].trip
        if shaft.acceptance_um is None or alarm is None or trip is None:
            continue
        assert alarm.unrounded is not None
        assert trip.unrounded is not None
        why = ctx.why()
        limit_um = why.fact(f"{shaft.key}.acceptance_limit_um", shaft.acceptance_um)
        unit = ctx.units.displacement
        values = {"alarm": unit.canonical(alarm.unrounded), "trip": unit.canonical(trip.unrounded)}
        why.fact(f"{group}.alarm_um", values["alarm"])
        why.fact(f"{group}.trip_um", values["trip"])
        low = [name for name, value in values.items() if value < limit_um - NOISE]
        lowest_um = min(values.values())
        if low:
            text = (
                f"{' and '.join(low).capitalize()} below the acceptance limit, {limit_um:.1f} um p-p: held. "
                "A design question for the machine maker."
            )
            remedies: tuple[str, ...] = ("Ask the maker for the clearance and for setpoints of his own.",)
        else:
            text, remedies = f"Alarm and trip stand above the acceptance limit of {limit_um:.1f} um p-p.", ()
        yield Check(
            "setpoint.clearance_below_acceptance",
            group,
            "fail" if low else "pass",
            Measure(lowest_um, "um"),
            Measure(limit_um, "um"),
            text,
            remedies,
            None,
            (why.say(text),),
        )


@rule(id="CHK-SET-020", title="Trip high enough to be set", phase=Phase.CHECKS)
def low_trip(ctx: Context) -> Iterator[Check]:
    """On the fastest pinions the trip nears what runout and resolution can tell apart."""
    for group, points in radial_groups(ctx):
        shaft, trip = points[0].shaft, points[0].trip
        if shaft.acceptance_um is None or trip is None:
            continue
        assert trip.unrounded is not None
        why = ctx.why()
        trip_um = ctx.units.displacement.canonical(why.fact(f"{group}.trip", trip.unrounded))
        limit_um = why.fact(f"{shaft.key}.acceptance_limit_um", shaft.acceptance_um)
        floor_um = why.criterion("radial.low_trip")
        margin_um = why.criterion("radial.low_trip_margin")
        change_um = why.criterion("radial.smallest_change")
        needed_um = max(floor_um, limit_um + margin_um)
        low = trip_um < needed_um - NOISE
        text = f"Trip {trip_um:.1f} um p-p against {needed_um:.1f}, the acceptance limit and runout together."
        remedies: tuple[str, ...] = ()
        if low:
            text = (
                f"Trip {trip_um:.1f} um p-p is low, under {needed_um:.1f}: the smallest change worth setting "
                f"on is {change_um:g} um p-p. Ask the maker."
            )
            remedies = ("Ask the machine maker for setpoints of his own.",)
        yield Check(
            "setpoint.low_trip",
            group,
            "caution" if low else "pass",
            Measure(trip_um, "um"),
            Measure(needed_um, "um"),
            text,
            remedies,
            None,
            (why.say(text),),
        )


@rule(id="CHK-SET-030", title="Trips by a single sensor", phase=Phase.CHECKS)
def single_sensor_trips(ctx: Context) -> Iterator[Check | OpenPoint]:
    """One loose connector can stop the plant, or, where a fault only alarms, leave it unprotected."""
    alone = []
    for group, points in ctx.groups.items():
        trip = points[0].trip
        if trip is None or trip.voting != "1oo1":
            continue
        alone.append(group)
        why = ctx.why()
        why.fact(f"{group}.voting", "1oo1")
        text = f"{group} trips by one sensor."
        remedies = ("A second sensor and a vote.", "A trip on one sensor with the alarm of another.")
        yield Check(
            "trip.single_sensor", group, "caution", None, None, text, remedies, None, (why.say(text),)
        )
    if alone:
        why = ctx.why()
        why.fact("groups with a 1oo1 trip", alone)
        text = (
            f"{len(alone)} trips rest on one sensor: whether its circuit fault trips, at once or after a "
            "named time, is open."
        )
        yield OpenPoint(
            "single_sensor_fault", "safety.radial_trip_voting", text, "purchaser", (why.say(text),)
        )


@rule(id="CHK-SET-040", title="Delays through transmitter and controller", phase=Phase.CHECKS)
def transmitter_delay(ctx: Context) -> Iterator[Check]:
    """Damping and scan time add to the delay; together they must not pass the delay asked."""
    points = [p for p in ctx.points.values() if p.chain == "transmitter" and p.trip is not None]
    if not points:
        return
    trip = points[0].trip
    assert trip is not None
    why = ctx.why()
    why.fact("installation.chain", "transmitter")
    text = (
        "Transmitter damping, controller scan and the delay set must together stay within the delay asked; "
        "damping and scan are device data not yet known."
    )
    needs = "transmitter damping and controller scan"
    yield Check(
        "delay.transmitter_chain",
        "machine",
        "not_evaluated",
        None,
        trip.delay,
        text,
        (),
        needs,
        (why.say(text),),
    )


@rule(id="CHK-SET-050", title="Loop current bands", phase=Phase.CHECKS)
def loop_bands(ctx: Context) -> Iterator[Check]:
    """A trip that lies in the fault band of the loop current would be read as a broken wire."""
    for group, points in ctx.groups.items():
        trip = points[0].trip
        if points[0].chain != "transmitter" or trip is None or trip.milliamps is None:
            continue
        why = ctx.why()
        why.criterion("loop.band_low")
        top_ma = why.criterion("loop.above_trip")
        band_ma, fault_low_ma = why.criterion("loop.band_high"), why.criterion("loop.fault_low")
        fault_high_ma = why.criterion("loop.fault_high")
        current_ma = why.fact(f"{group}.trip_ma", trip.milliamps)
        passes = current_ma <= top_ma
        text = (
            f"Trip at {current_ma:.2f} mA; {top_ma:g} to {fault_high_ma:g} mA counts as above trip, "
            f"{fault_low_ma:g} mA and below and {fault_high_ma:g} mA and above as circuit fault "
            f"(usable to {band_ma:g} mA)."
        )
        result = "pass" if passes else "fail"
        measured, limit = Measure(current_ma, "mA"), Measure(top_ma, "mA")
        remedies = () if passes else ("A larger range.",)
        yield Check(
            "loop.trip_current", group, result, measured, limit, text, remedies, None, (why.say(text),)
        )


@rule(id="CHK-SET-060", title="Setpoints inside the range", phase=Phase.CHECKS)
def inside_range(ctx: Context) -> Iterator[Check]:
    """A setpoint at the end of its range or beyond it never acts; only such a one is told."""
    for group, points in ctx.groups.items():
        signal = points[0].range
        if signal is None:
            continue
        low, high = signal.low.value, signal.high.value
        given = {"alarm": points[0].alarm, "trip": points[0].trip}
        outside = [
            (name, value)
            for name, each in given.items()
            if each is not None and each.unit == signal.high.unit
            for value in (each.value, each.low)
            if value is not None and not low < value < high
        ]
        if not outside:
            continue
        unit = signal.high.unit
        why = ctx.why()
        why.fact(f"{group}.range", [low, high])
        for name, value in outside:
            why.fact(f"{group}.{name}", value)
        told = " and ".join(f"{name} {value:g}" for name, value in outside)
        text = (
            f"{told.capitalize()} {unit} outside the range, {low:g} to {high:g} {unit}: it would never act."
        )
        yield Check(
            "range.setpoints",
            group,
            "fail",
            Measure(outside[-1][1], unit),
            Measure(high if outside[-1][1] >= high else low, unit),
            text,
            ("A larger range.", "A setpoint inside the range."),
            None,
            (why.say(text),),
        )
