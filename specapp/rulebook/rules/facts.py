"""The shafts and bearings of the machine, and what is assumed about them where nobody told."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.machine import BullGear, Driver, Pinion, bull_gear_speed_rpm, pinion_speeds_rpm
from specapp.domain.proposal import Assumption, OpenPoint
from specapp.domain.stages import PinionStages, assign_stages
from specapp.kernel.shaft_vibration import acceptance_limit_pp_um
from specapp.rulebook.context import Bearing, Context, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.trace import Why

Item = Assumption | OpenPoint | Shaft | Bearing
TURBINES = ("steam_turbine", "gas_turbine")
PER_MILLE = 1000.0


@rule(id="FCT-CRI-010", title="Criticality", phase=Phase.FACTS)
def criticality(ctx: Context) -> Iterator[Item]:
    """How much is measured depends on what a failure costs; the service class gives the usual answer."""
    if ctx.machine.criticality is not None:
        return
    why = ctx.why()
    why.fact("service_class", ctx.machine.service_class)
    value = why.fact("criticality", ctx.criticality)
    text = f"Criticality not told: {value}, as usual for this service class."
    changes = ("number of radial, axial, temperature and casing points", "chain of packaged machines")
    yield Assumption("criticality", value, text, changes, 0, (why.say(text),))


@rule(id="FCT-BGR-010", title="Bull gear", phase=Phase.FACTS)
def bull_gear(ctx: Context) -> Iterator[Item]:
    """The bull gear turns every pinion and, by the thrust collars, often carries their thrust."""
    told = ctx.machine.bull_gear
    why = ctx.why()
    speed_rpm = why.fact("bull_gear.speed", bull_gear_speed_rpm(ctx.machine))
    fluid_film = told.radial_bearings != "rolling"
    shaft = Shaft(
        key="BG",
        path="bull_gear",
        kind="bull_gear",
        told=told,
        speed_rpm=speed_rpm,
        ratio=1.0,
        teeth=told.teeth,
        fluid_film=fluid_film,
        thrust_bearing=fluid_film and told.thrust_bearing is not False,
        looks_toward=told.probe_looks_toward,
    )
    shaft.acceptance_um = acceptance_limit_pp_um(speed_rpm, why.criterion("bull_gear.acceptance_cap"))
    _bearing_facts(shaft, told, why)
    shaft.target_mm = shaft.journal_mm
    reason = why.say(
        f"Acceptance limit at {speed_rpm:.6g} r/min: {shaft.acceptance_um:.2f} um p-p; "
        "what a new machine shows on test, not an alarm."
    )
    yield shaft
    yield from (Bearing("B1", shaft, 1), Bearing("B2", shaft, 2))
    if told.speed is None:
        text = f"Bull gear speed not told: {speed_rpm:.6g} r/min from the driver, taken as coupled directly."
        if any(pinion.role == "input" for pinion in ctx.machine.pinions):
            text = f"Bull gear speed not told: {speed_rpm:.6g} r/min from the input pinion and the teeth."
        yield Assumption("bull_gear.speed", speed_rpm, text, ("every setpoint",), 0, (reason,))
    yield from _clearance_assumption(ctx, shaft)
    if told.radial_bearings is None:
        text = "Bull gear bearings not told: fluid film, as usual for these machines."
        changes = ("bull gear radial, axial and temperature points", "casing accelerometers")
        yield _assumed(ctx, "bull_gear.radial_bearings", "fluid_film", text, changes)
    if fluid_film and told.thrust_bearing is None:
        text = "Bull gear thrust bearing not told: present, locating the train."
        changes = ("bull gear axial points", "thrust bearing temperatures")
        yield _assumed(ctx, "bull_gear.thrust_bearing", True, text, changes)


@rule(id="FCT-PIN-010", title="Pinions, their stages and ends", phase=Phase.FACTS)
def pinions(ctx: Context) -> Iterator[Item]:
    """Each pinion is a rotor of its own; which end carries which stage decides where probes go."""
    machine = ctx.machine
    bull_rpm = bull_gear_speed_rpm(machine)
    speeds_rpm = pinion_speeds_rpm(machine)
    placed = assign_stages(machine.stage_count, machine.pinions)
    for index, (told, speed_rpm, stages) in enumerate(zip(machine.pinions, speeds_rpm, placed, strict=True)):
        why = ctx.why()
        path = f"pinions[{index}]"
        key = told.name or f"P{index + 1}"
        why.fact(f"{path}.speed", speed_rpm)
        shaft = Shaft(
            key=key,
            path=path,
            kind="pinion",
            told=told,
            speed_rpm=speed_rpm,
            ratio=speed_rpm / bull_rpm,
            role=told.role,
            teeth=told.teeth,
            axial_location=told.axial_location or "thrust_collar",
            thrust_bearing=told.axial_location == "thrust_bearing",
            looks_toward=told.probe_looks_toward,
            stages=stages.stages,
        )
        shaft.acceptance_um = acceptance_limit_pp_um(speed_rpm, why.criterion("radial.acceptance_cap"))
        _bearing_facts(shaft, told, why)
        shaft.target_mm = told.probe_target_diameter or shaft.journal_mm
        why.say(
            f"{key} at {speed_rpm:.6g} r/min: acceptance limit {shaft.acceptance_um:.2f} um p-p; "
            "what a new machine shows on test, not an alarm."
        )
        yield shaft
        yield from _pinion_bearings(shaft, told, stages)
        yield from _pinion_assumptions(ctx, shaft, told, stages)


@rule(id="FCT-DRV-010", title="Driver", phase=Phase.FACTS)
def driver(ctx: Context) -> Iterator[Item]:
    """The prime mover is monitored with the train once it is described."""
    told = ctx.machine.driver
    if told is None:
        why = ctx.why()
        why.fact("driver", None)
        text = "Driver not described: its bearings, windings or overspeed are not in this proposal."
        yield OpenPoint("driver", "driver.kind", text, "owner", (why.say(text),))
        return
    why = ctx.why()
    speed_rpm = _driver_speed_rpm(ctx, told)
    shaft = Shaft(
        key="M",
        path="driver",
        kind="driver",
        told=told,
        speed_rpm=why.fact("driver.speed", speed_rpm),
        ratio=speed_rpm / bull_gear_speed_rpm(ctx.machine),
        fluid_film=told.bearings != "rolling",
    )
    text = f"Driver at {speed_rpm:.6g} r/min."
    if told.kind in TURBINES:
        shaft.acceptance_um = acceptance_limit_pp_um(speed_rpm, why.criterion("turbine.acceptance_cap"))
        text = f"Turbine at {speed_rpm:.6g} r/min: acceptance limit {shaft.acceptance_um:.2f} um p-p."
    reason = why.say(text)
    yield shaft
    yield from (Bearing("M1", shaft, 1), Bearing("M2", shaft, 2))
    if told.speed is None:
        text = f"Driver speed not told: {speed_rpm:.6g} r/min, the shaft that it turns."
        yield Assumption("driver.speed", speed_rpm, text, ("driver setpoints",), 0, (reason,))


def _driver_speed_rpm(ctx: Context, told: Driver) -> float:
    """Return the driver's speed: told, or that of the shaft it is coupled to."""
    if told.speed is not None:
        return told.speed
    for shaft in ctx.shafts.values():
        if shaft.role == "input" and shaft.speed_rpm is not None:
            return shaft.speed_rpm
    return bull_gear_speed_rpm(ctx.machine)


def _bearing_facts(shaft: Shaft, told: BullGear | Pinion, why: Why) -> None:
    """Resolve journal, clearance, float and babbitt; what was not told and has no journal stays None."""
    shaft.journal_mm = told.journal_diameter
    shaft.clearance_mm = told.diametral_clearance
    shaft.float_mm = told.axial_float
    shaft.babbitt_mm = told.babbitt
    if shaft.clearance_mm is None and shaft.journal_mm is not None and shaft.fluid_film:
        journal_mm = why.fact(shaft.fact_path("journal_diameter"), shaft.journal_mm)
        shaft.clearance_mm = why.criterion("radial.clearance_per_mille") * journal_mm / PER_MILLE
        shaft.clearance_assumed = True


def _clearance_assumption(ctx: Context, shaft: Shaft) -> Iterator[Item]:
    why = ctx.why()
    journal = shaft.fact_path("journal_diameter")
    if shaft.clearance_assumed:
        assert shaft.clearance_mm is not None
        why.fact(journal, shaft.journal_mm)
        share = why.criterion("radial.clearance_per_mille")
        text = (
            f"Diametral clearance of {shaft.key} not told: {share:g} per mille of the journal, "
            f"{shaft.clearance_mm:.3f} mm."
        )
        changes = (f"{shaft.key} radial alarm and trip", f"probe.linear_range of {shaft.key}")
        field = shaft.fact_path("diametral_clearance")
        yield Assumption(field, shaft.clearance_mm, text, changes, 0, (why.say(text),))
    elif shaft.clearance_mm is None and shaft.fluid_film:
        why.fact(journal, None)
        text = (
            f"Journal diameter and clearance of {shaft.key} not told: its setpoints are not held against "
            "the bearing clearance; tip size and spacing are not checked."
        )
        yield OpenPoint(f"journal/{shaft.key}", journal, text, "maker", (why.say(text),))


def _pinion_bearings(shaft: Shaft, told: Pinion, placed: PinionStages) -> Iterator[Bearing]:
    for side in (1, 2):
        bearing = Bearing(f"{shaft.key}-{side}", shaft, side)
        if side in placed.sides:
            bearing.stage_index = placed.sides.index(side)
            bearing.stage = placed.stages[bearing.stage_index]
            bearing.expander = bearing.stage in told.expander_stages
        yield bearing


def _pinion_assumptions(ctx: Context, shaft: Shaft, told: Pinion, placed: PinionStages) -> Iterator[Item]:
    key = shaft.key
    if placed.stages_assumed and placed.stages:
        text = f"Stages of {key} not told: {', '.join(map(str, placed.stages))}, filled in order."
        changes: tuple[str, ...] = (f"stage of every {key} point",)
        yield _assumed(ctx, shaft.fact_path("stages"), list(placed.stages), text, changes)
    if placed.sides_assumed and len(placed.stages) == 1:
        text = f"Side of the lone stage of {key} not told: side 1, facing the driver."
        changes = (f"which end of {key} is the blind one",)
        yield _assumed(ctx, shaft.fact_path("stage_sides"), [1], text, changes)
    if told.axial_location is None:
        text = f"Axial location of {key} not told: thrust collars, as usual."
        changes = (f"{key} axial points", f"{key} thrust temperatures", "bull gear axial trip")
        yield _assumed(ctx, shaft.fact_path("axial_location"), "thrust_collar", text, changes)
    if told.probe_location is None:
        text = f"Probe location of {key} not told: beside the bearing, outside the process gas."
        changes = (f"pressure rating and feed-through of {key} probes",)
        yield _assumed(ctx, shaft.fact_path("probe_location"), "bearing", text, changes)
    yield from _clearance_assumption(ctx, shaft)


def _assumed(ctx: Context, field: str, value: object, text: str, changes: tuple[str, ...]) -> Assumption:
    why = ctx.why()
    why.fact(field, value)
    return Assumption(field, value, text, changes, 0, (why.say(text),))
