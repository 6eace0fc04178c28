"""Frequencies at which this train can shake: rotation, mesh, blades, whirl, rolling bearings.

A line is only written for what was told; sidebands of the mesh stand in its text.
"""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Assumption, FrequencyLine, Measure, OpenPoint
from specapp.kernel.bearings import defect_frequencies_hz
from specapp.kernel.spectra import order_frequency_hz
from specapp.kernel.speeds import (
    assembly_phase_frequency_hz,
    assembly_phases,
    blade_pass_frequency_hz,
    gear_mesh_frequency_hz,
    rotation_frequency_hz,
    tooth_repeat_frequency_hz,
)
from specapp.rulebook.context import Context, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.trace import Why

# Open point shared by every rule that misses the teeth: one question to the maker, not three.
GEAR_TEETH = "gear_teeth"


def mesh_frequency_hz(ctx: Context, why: Why) -> float | None:
    """Return the one mesh frequency of the train, None while no tooth count is known.

    Taken from the bull gear where its teeth are told, so that every pinion on it gets the same value
    even where a given pinion speed is a hair off the tooth ratio.
    """
    bull = ctx.shafts["BG"]
    teeth = why.fact("bull_gear.teeth", bull.teeth)
    if teeth is not None and bull.speed_rpm is not None:
        return gear_mesh_frequency_hz(why.fact("bull_gear.speed", bull.speed_rpm), teeth)
    for shaft in ctx.shafts.values():
        if shaft.kind == "pinion" and shaft.teeth is not None and shaft.speed_rpm is not None:
            why.fact(shaft.fact_path("teeth"), shaft.teeth)
            return gear_mesh_frequency_hz(why.fact(shaft.fact_path("speed"), shaft.speed_rpm), shaft.teeth)
    return None


def _line(shaft: Shaft, kind: str, order: float | None, hz: float, text: str, reason: int) -> FrequencyLine:
    return FrequencyLine(shaft.key, kind, order, Measure(hz, "Hz"), text, (reason,))


def _pinions(ctx: Context) -> list[Shaft]:
    return [shaft for shaft in ctx.shafts.values() if shaft.kind == "pinion"]


@rule(id="FRQ-ROT-010", title="Rotation frequency of each shaft", phase=Phase.FREQUENCIES)
def rotation(ctx: Context) -> Iterator[FrequencyLine]:
    """Unbalance, misalignment and rub speak at 1X; every other order is counted from it."""
    for shaft in ctx.shafts.values():
        if shaft.speed_rpm is None:
            continue
        why = ctx.why()
        speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
        hz = rotation_frequency_hz(speed_rpm)
        text = f"1X of {shaft.key} at {speed_rpm:.6g} r/min."
        if shaft.kind == "bull_gear":
            text += " On pinion probes this is the bull gear, not whirl."
        yield _line(shaft, "rotation", 1.0, hz, text, why.say(text))


@rule(
    id="FRQ-MSH-010",
    title="Gear mesh frequency",
    phase=Phase.FREQUENCIES,
    source="W. Foiles, gear frequencies by the Euclidean algorithm",
    status="published",
)
def gear_mesh(ctx: Context) -> Iterator[FrequencyLine | OpenPoint]:
    """Tooth wear and misalignment of the mesh show here; the spacing of the sidebands names the shaft."""
    why = ctx.why()
    mesh_hz = mesh_frequency_hz(ctx, why)
    if mesh_hz is None:
        text = "Teeth not told: mesh, tooth repeat and assembly phase frequencies are left out."
        yield OpenPoint(GEAR_TEETH, "bull_gear.teeth", text, "maker", (why.say(text),))
        return
    reason = why.say(f"Gear mesh at {mesh_hz:.6g} Hz, the same for every pinion on the bull gear.")
    bull_hz = rotation_frequency_hz(ctx.shafts["BG"].speed_rpm or 0)
    for shaft in _pinions(ctx):
        own_hz = rotation_frequency_hz(shaft.speed_rpm or 0)
        order = None if shaft.teeth is None else float(shaft.teeth)
        text = f"Sidebands at {own_hz:.6g} Hz steps: {shaft.key}; at {bull_hz:.6g} Hz steps: bull gear."
        yield _line(shaft, "gear_mesh", order, mesh_hz, text, reason)


@rule(
    id="FRQ-MSH-020",
    title="Tooth repeat and assembly phase frequencies",
    phase=Phase.FREQUENCIES,
    source="W. Foiles, gear frequencies by the Euclidean algorithm",
    status="published",
)
def tooth_repeat(ctx: Context) -> Iterator[FrequencyLine]:
    """One bad tooth on each wheel meets at the tooth repeat; common factors wear a pattern of their own."""
    bull_teeth = ctx.shafts["BG"].teeth
    if bull_teeth is None:
        return
    for shaft in _pinions(ctx):
        teeth = shaft.teeth
        why = ctx.why()
        mesh_hz = mesh_frequency_hz(ctx, why)
        if teeth is None or mesh_hz is None:
            continue
        why.fact(shaft.fact_path("teeth"), teeth)
        phases = assembly_phases(bull_teeth, teeth)
        repeat_hz = tooth_repeat_frequency_hz(mesh_hz, bull_teeth, teeth)
        hunting = (
            "hunting pair, every tooth meets every other" if phases == 1 else f"{phases} assembly phases"
        )
        text = f"{teeth} and {bull_teeth} teeth: {hunting}."
        reason = why.say(text)
        # Of the pinion's speed: teeth / lcm and teeth / gcd.
        yield _line(shaft, "tooth_repeat", phases / bull_teeth, repeat_hz, text, reason)
        phase_hz = assembly_phase_frequency_hz(mesh_hz, bull_teeth, teeth)
        yield _line(shaft, "assembly_phase", teeth / phases, phase_hz, text, reason)


@rule(id="FRQ-BLD-010", title="Blade and vane pass frequencies", phase=Phase.FREQUENCIES)
def blade_pass(ctx: Context) -> Iterator[FrequencyLine]:
    """Rotating stall, recirculation and blade trouble change the level at blade and vane pass."""
    for shaft in _pinions(ctx):
        blades, vanes = shaft.told.impeller_blades, shaft.told.diffuser_vanes
        if shaft.speed_rpm is None or not (blades or vanes):
            continue
        why = ctx.why()
        why.fact(shaft.fact_path("impeller_blades"), list(blades))
        why.fact(shaft.fact_path("diffuser_vanes"), list(vanes))
        why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
        reason = why.say(f"Blades and vanes of {shaft.key} pass at their number times 1X.")
        yield from _passing(shaft, shaft.speed_rpm, "blade_pass", "blades", blades, reason)
        yield from _passing(shaft, shaft.speed_rpm, "vane_pass", "vanes", vanes, reason)


def _passing(
    shaft: Shaft, speed_rpm: float, kind: str, noun: str, counts: tuple[int, ...], reason: int
) -> Iterator[FrequencyLine]:
    """Return a line for each different count; two stages with one count share a line."""
    for count in dict.fromkeys(counts):
        stages = [str(stage) for stage, own in zip(shaft.stages, counts, strict=False) if own == count]
        where = f"stage{'s' if len(stages) > 1 else ''} {' and '.join(stages)}" if stages else shaft.key
        hz = blade_pass_frequency_hz(speed_rpm, count)
        yield _line(shaft, kind, float(count), hz, f"{count} {noun}, {where}.", reason)


@rule(id="FRQ-WHL-010", title="Band of oil whirl", phase=Phase.FREQUENCIES)
def whirl(ctx: Context) -> Iterator[FrequencyLine]:
    """A lightly loaded fluid-film bearing can go unstable just below half speed, and then grows fast."""
    probed = {point.shaft.key for point in ctx.points.values() if point.quantity == "radial_vibration"}
    for shaft in ctx.shafts.values():
        if shaft.kind == "driver" or shaft.key not in probed or shaft.speed_rpm is None:
            continue
        why = ctx.why()
        speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
        low, high = why.criterion("whirl.low"), why.criterion("whirl.high")
        low_hz, high_hz = order_frequency_hz(speed_rpm, low), order_frequency_hz(speed_rpm, high)
        text = f"Whirl of {shaft.key} shows between {low:g} and {high:g} X."
        reason = why.say(text)
        yield _line(shaft, "whirl_low", low, low_hz, text, reason)
        yield _line(shaft, "whirl_high", high, high_hz, text, reason)


@rule(id="FRQ-BRG-010", title="Defect frequencies of the driver's rolling bearing", phase=Phase.FREQUENCIES)
def rolling_bearing(ctx: Context) -> Iterator[FrequencyLine | Assumption]:
    """A pitted race or ball rings the bearing at a rate of its own long before the vibration level moves."""
    shaft = ctx.shafts.get("M")
    told = None if shaft is None else shaft.told.rolling_bearing
    if shaft is None or told is None or shaft.speed_rpm is None:
        return
    if told.balls is None or told.ball_diameter is None or told.pitch_diameter is None:
        return
    why = ctx.why()
    speed_rpm = why.fact("driver.speed", shaft.speed_rpm)
    for name in ("balls", "ball_diameter", "pitch_diameter"):
        why.fact(f"driver.rolling_bearing.{name}", getattr(told, name))
    angle_deg = why.fact("driver.rolling_bearing.contact_angle", told.contact_angle or 0.0)
    found = defect_frequencies_hz(speed_rpm, told.balls, told.ball_diameter, told.pitch_diameter, angle_deg)
    reason = why.say(
        f"Pure rolling, outer ring fixed, contact angle {angle_deg:g} deg; "
        "slip lowers the real values by 1 to 2 percent."
    )
    if told.contact_angle is None:
        text = "Contact angle of the driver's rolling bearing not told: 0 deg, a deep-groove ball bearing."
        changes = ("bpfo", "bpfi", "bsf", "ftf")
        yield Assumption("driver.rolling_bearing.contact_angle", 0.0, text, changes, 0, (reason,))
    one_x_hz = rotation_frequency_hz(speed_rpm)
    for kind, hz, text in (
        ("bpfo", found.bpfo, "Defect of the outer ring."),
        ("bpfi", found.bpfi, "Defect of the inner ring."),
        ("bsf", found.bsf, f"Spin of a ball; its defect strikes both rings, at {2 * found.bsf:.6g} Hz."),
        ("ftf", found.ftf, "Cage."),
    ):
        yield _line(shaft, kind, hz / one_x_hz, hz, text, reason)
