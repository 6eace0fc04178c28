"""Where each transducer stands and what its fitter must know."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from specapp.domain.proposal import OpenPoint
from specapp.kernel.errors import MissingInput
from specapp.rulebook.context import Assign, Bearing, Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.trace import Why

# Axial and phase probes have this tip, always; a notch is made for it.
PHASE_TIP_MM = 8.0


def _bearing(point: PointDraft) -> Bearing:
    """Return the bearing of a point that stands at one."""
    if point.bearing is None:
        raise MissingInput("bearing", None, f"the place of {point.key}")
    return point.bearing


def _by_bearing(points: list[PointDraft]) -> Iterable[list[PointDraft]]:
    """Return the points at each bearing; a bearing's points share what they are given."""
    beside: dict[str, list[PointDraft]] = {}
    for point in points:
        beside.setdefault(_bearing(point).key, []).append(point)
    return beside.values()


def in_seal_housing(point: PointDraft) -> bool:
    """Tell whether a radial probe stands in the seal housing; an end without impeller has none."""
    bearing = point.bearing
    if bearing is None or bearing.stage is None:
        return False
    # Only a pinion's bearings have a stage.
    return bool(point.shaft.told.probe_location == "seal_housing")


def least_notch_width_mm(why: Why) -> float:
    """Return the least width and length of a phase notch."""
    return why.criterion("probe.notch_tip_multiple") * PHASE_TIP_MM


def _gap_note(why: Why, when: str) -> str:
    gap_v, mid_mm = why.criterion("probe.gap_voltage"), why.criterion("probe.mid_gap")
    low_v, high_v = why.criterion("probe.gap_voltage_low"), why.criterion("probe.gap_voltage_high")
    return f"Set the gap {when}: {gap_v:g} V ({high_v:g} to {low_v:g} V), about {mid_mm:g} mm."


def _calibration_note(why: Why) -> str:
    testing, operating = (
        why.criterion("probe.scale_error_testing"),
        why.criterion("probe.scale_error_operating"),
    )
    straight_um = why.criterion("probe.straight_line_testing")
    working_um = why.criterion("probe.straight_line_operating")
    range_mm = why.criterion("probe.linear_range")
    return (
        f"Calibrate to the shaft material over {range_mm:g} mm. On test within {testing:g} percent of the "
        f"scale factor and {straight_um:g} um of the straight line; in service {operating:g} percent and "
        f"{working_um:g} um."
    )


@rule(id="INS-PLC-010", title="Place of the radial probes", phase=Phase.TRANSDUCERS)
def radial_places(ctx: Context) -> Iterator[Assign]:
    """Close to the bearing a probe sees what the bearing sees; close to a node it sees nothing."""
    points = [point for point in ctx.of_quantity("radial_vibration") if not in_seal_housing(point)]
    if not points:
        return
    why = ctx.why()
    distance_mm = why.criterion("probe.bearing_distance")
    notes = (_gap_note(why, "with the shaft at rest"), _calibration_note(why))
    reason = why.say(f"Radial probes within {distance_mm:g} mm of the bearing, never in the process gas.")
    for beside in _by_bearing(points):
        bearing = _bearing(beside[0])
        where = "beside" if bearing.stage is None else "between the impeller's gas seal and"
        place = f"{where} bearing {bearing.key}, within {distance_mm:g} mm of it"
        yield Assign(beside, {"location": place, "notes": notes}, reason)


@rule(id="INS-PLC-020", title="Probes in the seal housing", phase=Phase.TRANSDUCERS)
def seal_housing_places(ctx: Context) -> Iterator[Assign | OpenPoint]:
    """There the process gas governs: a probe is a wall of the pressure casing, wetted and hot."""
    for shaft in ctx.shafts.values():
        if getattr(shaft.told, "probe_location", None) != "seal_housing":
            continue
        points = [
            point
            for point in ctx.of_quantity("radial_vibration")
            if point.shaft is shaft and in_seal_housing(point)
        ]
        if not points:
            continue
        why = ctx.why()
        why.fact(shaft.fact_path("probe_location"), "seal_housing")
        path = shaft.fact_path("seal_pressure")
        pressure_bar = why.fact(path, shaft.told.seal_pressure)
        distance_mm = why.criterion("probe.bearing_distance")
        hottest, extended = (
            why.criterion("probe.temperature_maximum"),
            why.criterion("probe.temperature_extended"),
        )
        rating = "the seal pressure, not told" if pressure_bar is None else f"{pressure_bar:g} bar gauge"
        notes = (
            f"Pressure-rated probe and lead feed-through for {rating}; wetted materials to suit the gas.",
            f"Gas above {hottest:g} degC at the probe: the version to {extended:g} degC.",
            _gap_note(why, "with the shaft at rest"),
            _calibration_note(why),
        )
        reason = why.say(f"Probes of {shaft.key} stand in the seal housing, in the process gas at {rating}.")
        for beside in _by_bearing(points):
            stage = _bearing(beside[0]).stage
            place = f"in the seal housing of stage {stage}, within {distance_mm:g} mm of the bearing"
            yield Assign(beside, {"location": place, "notes": notes}, reason)
        if pressure_bar is None:
            text = f"Seal pressure of {shaft.key} not told: rating of its probes and feed-throughs is open."
            yield OpenPoint(f"seal_pressure/{shaft.key}", path, text, "maker", (reason,))


@rule(id="INS-PLC-030", title="Place of the axial probes", phase=Phase.TRANSDUCERS)
def axial_places(ctx: Context) -> Iterator[Assign]:
    """A probe far from the thrust face reads the growth of the shaft as thrust."""
    groups = ctx.groups_of("axial_position")
    if not groups:
        return
    why = ctx.why()
    single = (_gap_note(why, "with the rotor at mid float"), _calibration_note(why))
    apart_mm = why.criterion("probe.tip_spacing_8mm")
    apart = f"A and B: tips at least {apart_mm:g} mm apart, else in two oscillator frequency groups."
    pair = (*single, apart)
    for group in groups:
        shaft = group[0].shaft
        why.fact(shaft.fact_path("probe_looks_toward"), shaft.looks_toward)
    reason = why.say("Axial probes beside the thrust bearing, or at the collar that holds the pinion.")
    for group in groups:
        shaft = group[0].shaft
        held = shaft.kind == "pinion" and not shaft.thrust_bearing
        place = (
            f"at the thrust collar of {shaft.key}" if held else f"beside the thrust bearing of {shaft.key}"
        )
        if shaft.looks_toward is not None:
            place += f", tip in the {shaft.looks_toward} thrust direction"
        yield Assign(group, {"location": place, "notes": pair if len(group) > 1 else single}, reason)


@rule(id="INS-PLC-040", title="Place of the phase probes", phase=Phase.TRANSDUCERS)
def phase_places(ctx: Context) -> Iterator[Assign]:
    """A notch in a radial probe's track would be read as vibration, and a shallow one gives no pulse."""
    points = ctx.of_quantity("phase_reference")
    if not points:
        return
    why = ctx.why()
    told = ctx.machine.installation.notch
    depth_mm, width_mm = why.criterion("probe.notch_depth"), least_notch_width_mm(why)
    notch = f"Notch at least {depth_mm:g} mm deep, {width_mm:g} mm wide and {width_mm:g} mm long"
    if told is not None and told.width is not None and told.depth is not None:
        why.fact("installation.notch.width", told.width)
        why.fact("installation.notch.depth", told.depth)
        notch += f"; told: {told.depth:g} mm deep, {told.width:g} mm wide"
    notes = (_gap_note(why, "over the plain shaft, not over the notch"), f"{notch}.")
    reason = why.say("Phase probe over a once-a-turn notch, outside the tracks of the radial probes.")
    for point in points:
        place = f"over the notch of {point.shaft.key}, outside the radial probe tracks"
        yield Assign((point,), {"location": place, "notes": notes}, reason)


@rule(id="INS-PLC-050", title="Place of the casing sensors", phase=Phase.TRANSDUCERS)
def casing_places(ctx: Context) -> Iterator[Assign]:
    """A sensor on a thin cover reads the cover; on the bearing housing it reads the bearing."""
    points = ctx.of_quantity("casing_vibration")
    if not points:
        return
    reason = ctx.why().say("Casing sensors radially on the bearing housing, in line with the bearing.")
    for point in points:
        where = "motor" if point.shaft.kind == "driver" else "bull-gear"
        place = f"radially on the {where} bearing housing {_bearing(point).key}, not on a cover"
        yield Assign((point,), {"location": place}, reason)


@rule(id="INS-PLC-060", title="Place of the temperature elements", phase=Phase.TRANSDUCERS)
def temperature_places(ctx: Context) -> Iterator[Assign]:
    """Only a tip close behind the babbitt of the loaded pad sees the oil film run hot."""
    bearings, windings = ctx.groups_of("bearing_temperature"), ctx.of_quantity("winding_temperature")
    if bearings:
        reason = ctx.why().say("Elements in the loaded pads, behind the babbitt.")
        for group in bearings:
            yield Assign(group, {"location": _temperature_place(group[0])}, reason)
    if windings:
        reason = ctx.why().say("Elements between the coil sides in the slots, two a phase.")
        yield Assign(windings, {"location": "in the stator slots, between the coil sides"}, reason)


def _temperature_place(point: PointDraft) -> str:
    if point.shaft.kind == "driver":
        return f"in bearing {_bearing(point).key} of the motor"
    if point.bearing is not None:
        return f"in the loaded pad of bearing {point.bearing.key}, behind the babbitt"
    face = point.group.rsplit("/", 1)[-1]
    return f"in the {face} pads of the thrust bearing of {point.shaft.key}, behind the babbitt"


@rule(id="INS-PLC-070", title="Place of the speed sensors", phase=Phase.TRANSDUCERS)
def speed_places(ctx: Context) -> Iterator[Assign]:
    """Sensors of an overspeed group share the wheel and nothing else."""
    points = ctx.of_quantity("overspeed") + ctx.of_quantity("speed")
    if not points:
        return
    reason = ctx.why().say("Speed sensors over a wheel fixed to the very shaft.")
    for point in points:
        place = f"over the toothed wheel of {point.shaft.key}"
        yield Assign((point,), {"location": place}, reason)
