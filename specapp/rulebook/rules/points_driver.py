"""Points of the driver, once it is described."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import OpenPoint
from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.facts import TURBINES
from specapp.rulebook.rules.points_axial import axial_points
from specapp.rulebook.rules.points_other import element_chain, overspeed_points
from specapp.rulebook.rules.points_radial import machine_chain, radial_points

Item = PointDraft | OpenPoint


def _is_motor(ctx: Context) -> bool:
    told = ctx.machine.driver
    return told is not None and told.kind is not None and told.kind not in TURBINES


@rule(id="PTS-DRV-010", title="Kind of driver", phase=Phase.POINTS)
def driver_kind_is_told(ctx: Context) -> Iterator[OpenPoint]:
    """A motor and a turbine are watched in different ways."""
    if ctx.machine.driver is None or ctx.machine.driver.kind is not None:
        return
    why = ctx.why()
    why.fact("driver.kind", None)
    text = "Kind of driver not told: no points are proposed on it."
    yield OpenPoint("driver", "driver.kind", text, "owner", (why.say(text),))


@rule(id="PTS-DRV-020", title="Vibration of a motor", phase=Phase.POINTS)
def motor_vibration(ctx: Context) -> Iterator[Item]:
    """A sleeve bearing lets the shaft move in its clearance; a rolling one shakes the housing."""
    if not _is_motor(ctx):
        return
    assert ctx.machine.driver is not None
    shaft = ctx.shafts["M"]
    why = ctx.why()
    why.fact("service_class", ctx.machine.service_class)
    bearings = why.fact("driver.bearings", ctx.machine.driver.bearings)
    if bearings is None:
        text = "Motor bearings not told: sleeve bearings get shaft probes, rolling bearings casing sensors."
        yield OpenPoint("driver.bearings", "driver.bearings", text, "owner", (why.say(text),))
        return
    if bearings == "sleeve" and ctx.process:
        why.criterion("orientation.diagonal_y")
        why.criterion("orientation.diagonal_x")
        reason = why.say("Motor sleeve bearings: Y and X at 315 and 45 deg, at M1 and M2.")
        for bearing in shaft.bearings:
            yield from radial_points(ctx, bearing, pair=True, diagonal=True, reason=reason)
        return
    reason = why.say(f"Motor, {bearings} bearings: one casing sensor a bearing.")
    for bearing in shaft.bearings:
        key = f"{bearing.key}/casing"
        title = f"Casing vibration, motor bearing {bearing.key}"
        chain = machine_chain(ctx)
        yield PointDraft(key, title, "casing_vibration", shaft, key, chain, [reason], bearing=bearing)


@rule(id="PTS-DRV-030", title="Motor bearing temperature", phase=Phase.POINTS)
def motor_bearing_temperature(ctx: Context) -> Iterator[Item]:
    """A dry or overgreased motor bearing shows as heat, in either kind of bearing."""
    if not _is_motor(ctx):
        return
    shaft = ctx.shafts["M"]
    why = ctx.why()
    why.fact("driver.kind", shaft.told.kind)
    reason = why.say("One temperature element in each motor bearing.")
    for bearing in shaft.bearings:
        key = f"{bearing.key}/temperature/A"
        title = f"Bearing temperature, motor bearing {bearing.key}, element A"
        chain = element_chain(ctx)
        yield PointDraft(
            key, title, "bearing_temperature", shaft, key, chain, [reason], bearing=bearing, suffix="A"
        )


@rule(id="PTS-DRV-040", title="Motor winding temperature", phase=Phase.POINTS)
def motor_winding_temperature(ctx: Context) -> Iterator[Item]:
    """Insulation ages by heat; the motor relay, not the vibration rack, acts on it."""
    if not _is_motor(ctx):
        return
    shaft = ctx.shafts["M"]
    why = ctx.why()
    why.fact("service_class", ctx.machine.service_class)
    power_kw = why.fact("driver.power", shaft.told.power)
    limit_kw = why.criterion("points.winding_power")
    if not ctx.process:
        if power_kw is None:
            text = f"Driver power not told: winding temperatures are proposed from {limit_kw:g} kW."
            yield OpenPoint("winding/M", "driver.power", text, "owner", (why.say(text),))
            return
        if power_kw < limit_kw:
            return
    reason = why.say("Six winding elements, two a phase, wired to the motor relay.")
    for suffix in ("1", "2", "3", "4", "5", "6"):
        yield PointDraft(
            f"M/winding/{suffix}",
            f"Winding temperature, motor, element {suffix}",
            "winding_temperature",
            shaft,
            "M/winding",
            "direct",
            [reason],
            suffix=suffix,
        )


@rule(id="PTS-DRV-050", title="Speed of a variable-speed motor", phase=Phase.POINTS)
def variable_speed(ctx: Context) -> Iterator[PointDraft]:
    """Where the speed moves, every setpoint and every spectrum is read against it."""
    if ctx.machine.driver is None or ctx.machine.driver.kind != "variable_speed_motor":
        return
    why = ctx.why()
    why.fact("driver.kind", "variable_speed_motor")
    reason = why.say("One speed indication on the variable-speed motor.")
    key = "M/speed/1"
    yield PointDraft(
        key, "Speed, motor", "speed", ctx.shafts["M"], key, element_chain(ctx), [reason], suffix="1"
    )


@rule(id="PTS-DRV-060", title="Turbine points", phase=Phase.POINTS)
def turbine(ctx: Context) -> Iterator[PointDraft]:
    """A turbine driver is a fast rotor with a thrust bearing of its own, on the same rack as the train."""
    if ctx.machine.driver is None or ctx.machine.driver.kind not in TURBINES:
        return
    shaft = ctx.shafts["M"]
    why = ctx.why()
    why.fact("driver.kind", shaft.told.kind)
    why.criterion("orientation.diagonal_y")
    why.criterion("orientation.diagonal_x")
    reason = why.say("Turbine: Y and X a bearing at 315 and 45 deg, two axial probes, one phase reference.")
    for bearing in shaft.bearings:
        yield from radial_points(ctx, bearing, pair=True, diagonal=True, reason=reason)
    yield from axial_points(ctx, shaft, ("A", "B"), reason)
    chain = "monitor" if machine_chain(ctx) == "monitor" else "direct"
    yield PointDraft(
        "M/phase", "Phase reference, driver", "phase_reference", shaft, "M/phase", chain, [reason]
    )


@rule(id="PTS-OVS-020", title="Overspeed detection on a turbine", phase=Phase.POINTS)
def turbine_overspeed(ctx: Context) -> Iterator[PointDraft]:
    """A turbine that loses its load runs away within a second; two of three sensors must agree."""
    if ctx.machine.driver is None or ctx.machine.driver.kind not in TURBINES:
        return
    shaft = ctx.shafts["M"]
    why = ctx.why()
    why.fact("driver.kind", shaft.told.kind)
    reason = why.say("Three speed sensors, 2oo3, circuits of their own, supplied by the turbine maker.")
    yield from overspeed_points(shaft, reason)
