"""Phase reference, casing vibration, bearing temperature and overspeed points of the gear casing."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import OpenPoint
from specapp.rulebook.context import Assign, Bearing, Context, PointDraft, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.points_radial import machine_chain
from specapp.rulebook.trace import Why

FULL_TURN = 360.0


def element_chain(ctx: Context) -> str:
    """Return the chain of bare elements: into the rack where there is one, else to the control system."""
    return "monitor" if machine_chain(ctx) == "monitor" else "direct"


def overspeed_points(shaft: Shaft, reason: int) -> Iterator[PointDraft]:
    """Return the three sensors of one overspeed group, voted 2oo3, their circuits unshared."""
    group = f"{shaft.key}/overspeed"
    where = "driver" if shaft.kind == "driver" else f"pinion {shaft.key} (expander)"
    for suffix in ("1", "2", "3"):
        yield PointDraft(
            key=f"{group}/{suffix}",
            title=f"Overspeed, {where}, sensor {suffix}",
            quantity="overspeed",
            shaft=shaft,
            group=group,
            chain="overspeed_system",
            reasons=[reason],
            suffix=suffix,
        )


def _classes(ctx: Context, why: Why) -> None:
    why.fact("service_class", ctx.machine.service_class)
    why.fact("criticality", ctx.criticality)


@rule(
    id="PTS-PHA-010",
    title="Phase reference on each rotor speed",
    phase=Phase.POINTS,
    source="IEEE Petroleum and Chemical Industry Conference 2007, paper on probe-track runout",
    edition="2007",
    status="published",
)
def phase_references(ctx: Context) -> Iterator[PointDraft]:
    """Only a mark on the very shaft gives its vibration a phase; runout cannot be subtracted without one."""
    if not ctx.process and ctx.criticality != "critical":
        return
    chain = "monitor" if machine_chain(ctx) == "monitor" else "direct"
    for shaft in ctx.shafts.values():
        if shaft.kind == "driver" or (shaft.kind == "pinion" and not ctx.process):
            continue
        why = ctx.why()
        _classes(ctx, why)
        where = "bull gear" if shaft.kind == "bull_gear" else f"pinion {shaft.key}"
        reason = why.say(f"One phase reference on the {where}, which turns at its own speed.")
        key = f"{shaft.key}/phase"
        yield PointDraft(key, f"Phase reference, {where}", "phase_reference", shaft, key, chain, [reason])


@rule(id="PTS-CAS-010", title="Gear casing vibration", phase=Phase.POINTS)
def gear_casing(ctx: Context) -> Iterator[PointDraft]:
    """Mesh and bearing faults reach the bull-gear bearing housing; shaft probes do not see them."""
    shaft = ctx.shafts["BG"]
    why = ctx.why()
    _classes(ctx, why)
    why.fact("bull_gear.radial_bearings", "fluid_film" if shaft.fluid_film else "rolling")
    if not shaft.fluid_film:
        count, text = (
            2,
            "Rolling bull gear bearings carry no shaft probes: one casing sensor on each, B1 and B2.",
        )
    elif ctx.process and ctx.criticality == "critical":
        count, text = 2, "Casing sensors on both bull gear bearing housings, B1 and B2."
    elif ctx.process or ctx.criticality != "general":
        count, text = 1, "One casing sensor on the bull gear bearing housing B1."
    else:
        return
    reason = why.say(text)
    for bearing in shaft.bearings[:count]:
        key = f"BG/{bearing.key}/casing"
        title = f"Casing vibration, bull gear bearing housing {bearing.key}"
        chain = machine_chain(ctx)
        yield PointDraft(key, title, "casing_vibration", shaft, key, chain, [reason], bearing=bearing)


@rule(id="PTS-TMP-010", title="Journal bearing temperature", phase=Phase.POINTS)
def journal_temperatures(ctx: Context) -> Iterator[PointDraft]:
    """Babbitt shows overload and oil starvation as heat, in the loaded pad, before vibration does."""
    if not ctx.process and ctx.criticality != "critical":
        return
    for shaft in ctx.shafts.values():
        if shaft.kind == "driver" or not shaft.fluid_film:
            continue
        why = ctx.why()
        _classes(ctx, why)
        count = 2 if ctx.process and ctx.criticality == "critical" else 1
        small = ""
        if shaft.kind == "pinion" and count > 1:
            journal_mm = why.fact(shaft.fact_path("journal_diameter"), shaft.journal_mm)
            limit_mm = why.criterion("temperature.small_journal")
            if journal_mm is not None and journal_mm < limit_mm:
                count, small = 1, f" A journal under {limit_mm:g} mm has room for one."
        elements = "two elements, A and B" if count > 1 else "one element, A"
        reason = why.say(f"Each journal bearing of {shaft.key}: {elements}.{small}")
        for bearing in shaft.bearings:
            yield from _journal_points(ctx, bearing, count, reason)


def _journal_points(ctx: Context, bearing: Bearing, count: int, reason: int) -> Iterator[PointDraft]:
    group = f"{bearing.shaft.key}/{bearing.key}/temperature"
    for suffix in ("A", "B")[:count]:
        key = f"{group}/{suffix}"
        yield PointDraft(
            key=key,
            title=f"Bearing temperature, {bearing.key}, element {suffix}",
            quantity="bearing_temperature",
            shaft=bearing.shaft,
            group=group if count > 1 else key,
            chain=element_chain(ctx),
            reasons=[reason],
            bearing=bearing,
            suffix=suffix,
        )


@rule(id="PTS-TMP-020", title="Thrust bearing temperature", phase=Phase.POINTS)
def thrust_temperatures(ctx: Context) -> Iterator[PointDraft]:
    """Thrust pads run hot first on the loaded face; surge and start-up load the other one."""
    if not ctx.process and ctx.criticality != "critical":
        return
    faces = ("active", "inactive") if ctx.process else ("active",)
    for shaft in ctx.shafts.values():
        if shaft.kind == "driver" or not shaft.thrust_bearing:
            continue
        why = ctx.why()
        _classes(ctx, why)
        reason = why.say(
            f"Thrust bearing of {shaft.key}: two elements each in the {' and '.join(faces)} pads."
        )
        for face in faces:
            group = f"{shaft.key}/thrust/{face}"
            for suffix in ("1", "2"):
                title = f"Thrust bearing temperature, {shaft.key}, {face} side, element {suffix}"
                yield PointDraft(
                    f"{group}/{suffix}",
                    title,
                    "bearing_temperature",
                    shaft,
                    group,
                    element_chain(ctx),
                    [reason],
                    suffix=suffix,
                )


@rule(id="PTS-TMP-030", title="Loaded direction of a journal bearing", phase=Phase.POINTS)
def loaded_direction(ctx: Context) -> Iterator[OpenPoint | Assign]:
    """Tooth force, not gravity, decides where a pinion rests; the element goes into that pad."""
    measured: dict[str, list[PointDraft]] = {}
    for point in ctx.points.values():
        if point.quantity != "bearing_temperature" or point.bearing is None:
            continue
        if point.shaft.kind == "pinion":
            measured.setdefault(point.shaft.key, []).append(point)
    for key, points in measured.items():
        shaft = ctx.shafts[key]
        why = ctx.why()
        rotation = why.fact("bull_gear.rotation", ctx.machine.bull_gear.rotation)
        position_deg = why.fact(shaft.fact_path("position_angle"), shaft.told.position_angle)
        if rotation is None or position_deg is None:
            missing = "bull_gear.rotation" if rotation is None else shaft.fact_path("position_angle")
            text = f"Loaded pad of {key} not known: it follows from rotation and position angle."
            yield OpenPoint(f"loaded_direction/{key}", missing, text, "maker", (why.say(text),))
            continue
        turn_deg = why.criterion("orientation.load_angle")
        forward = (rotation == "clockwise") == (why.fact(shaft.fact_path("role"), shaft.role) == "driven")
        loaded_deg = (position_deg + (turn_deg if forward else -turn_deg)) % FULL_TURN
        reason = why.say(f"The teeth press {key} toward {loaded_deg:g} deg: the element goes into that pad.")
        yield Assign(points, {"loaded_direction_deg": loaded_deg}, reason)


@rule(
    id="PTS-OVS-010",
    title="Overspeed detection on an expander pinion",
    phase=Phase.POINTS,
)
def expander_overspeed(ctx: Context) -> Iterator[PointDraft]:
    """An expander drives its pinion; losing the load lets it run away."""
    for shaft in ctx.shafts.values():
        if shaft.kind != "pinion" or not shaft.told.expander_stages:
            continue
        why = ctx.why()
        why.fact(shaft.fact_path("expander_stages"), list(shaft.told.expander_stages))
        reason = why.say(
            f"{shaft.key} carries an expander: three speed sensors, 2oo3, circuits of their own."
        )
        yield from overspeed_points(shaft, reason)
