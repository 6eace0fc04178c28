"""Which transducer each point gets: tip size, system length, accelerometer type, frequency groups."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Assumption, Measure, OpenPoint, Transducer
from specapp.kernel.errors import MissingInput
from specapp.kernel.probes import pair_tip_spacing_mm
from specapp.kernel.speeds import gear_mesh_frequency_hz
from specapp.rulebook.context import Assign, Context, PointDraft, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.frequencies import GEAR_TEETH, mesh_frequency_hz
from specapp.rulebook.rules.installation import in_seal_housing
from specapp.rulebook.trace import Why

Item = Assign | Assumption | OpenPoint

# Nominal sizes by which the types are called, not limits: two tips and two system lengths exist.
TIP_8_MM, TIP_5_MM = 8.0, 5.0
SYSTEM_5_M, SYSTEM_9_M = 5.0, 9.0
TIP_SPACING = {TIP_8_MM: "probe.tip_spacing_8mm", TIP_5_MM: "probe.tip_spacing_5mm"}
# Housing velocity is evaluated from 10 Hz to 1 kHz (ISO 20816-3); the sensor reads no further.
VELOCITY_TOP_HZ = 1000.0
# Millimetres in an inch over mils in an inch, times millivolts in a volt: V/mm to mV/mil.
_MV_PER_MIL = 25.4
_HZ_PER_KHZ = 1000.0


def frequency_text(hz: float) -> str:
    """Return a frequency as the trade writes it: 250 Hz, 6.98 kHz."""
    return f"{hz / _HZ_PER_KHZ:.3g} kHz" if hz >= _HZ_PER_KHZ else f"{hz:.3g} Hz"


def target_path(shaft: Shaft) -> str:
    """Return the machine/1 path of the diameter that the probes see: the target's, else the journal's."""
    told = getattr(shaft.told, "probe_target_diameter", None)
    return shaft.fact_path("journal_diameter" if told is None else "probe_target_diameter")


def target_mm(shaft: Shaft, why: Why) -> float | None:
    """Return the diameter that the probes see; a driver's journal is no part of the description."""
    return None if shaft.kind == "driver" else why.fact(target_path(shaft), shaft.target_mm)


def tip_spacing_mm(shaft: Shaft, why: Why) -> float | None:
    """Return the distance of the two tips of a pair: as told, else by geometry; None while unknown."""
    told_mm = getattr(shaft.told, "probe_tip_spacing", None)
    if told_mm is not None:
        return float(why.fact(shaft.fact_path("probe_tip_spacing"), told_mm))
    diameter_mm = target_mm(shaft, why)
    return None if diameter_mm is None else pair_tip_spacing_mm(diameter_mm, why.criterion("probe.mid_gap"))


def radial_groups(ctx: Context) -> Iterator[tuple[Shaft, list[PointDraft]]]:
    """Return the radial voting groups with their shaft, in proposal order."""
    for group in ctx.groups_of("radial_vibration"):
        yield group[0].shaft, group


def _radial_tip(shaft: Shaft, pair: bool, why: Why) -> tuple[float, str]:
    """Return the tip of the radial probes of a shaft and why, in words."""
    if shaft.kind == "driver":
        return TIP_8_MM, "8 mm tip; the driver maker confirms it against the journal"
    diameter_mm = target_mm(shaft, why)
    if diameter_mm is None:
        return TIP_8_MM, "8 mm tip, the usual one, as the diameter is not told"
    limit_mm = why.criterion("probe.shaft_8mm_fail")
    if diameter_mm < limit_mm:
        return TIP_5_MM, f"5 mm tip, as {diameter_mm:g} mm is under {limit_mm:g} mm"
    if not pair:
        return TIP_8_MM, f"8 mm tip on {diameter_mm:g} mm"
    spacing_mm = tip_spacing_mm(shaft, why)
    least_8_mm, least_5_mm = (why.criterion(key) for key in TIP_SPACING.values())
    if spacing_mm is None:
        raise MissingInput(target_path(shaft), None, "the tip spacing")
    if least_5_mm <= spacing_mm < least_8_mm:
        return TIP_5_MM, (
            f"5 mm tip, as the tips are {spacing_mm:.1f} mm apart: 8 mm tips need {least_8_mm:g} mm, "
            f"5 mm tips {least_5_mm:g} mm"
        )
    return TIP_8_MM, f"8 mm tip on {diameter_mm:g} mm, tips {spacing_mm:.1f} mm apart"


def _system_m(ctx: Context, why: Why) -> float:
    """Return the electrical length of the system: by the routed run from probe to box, else 5 m."""
    run_m = why.fact("installation.probe_to_box", ctx.machine.installation.probe_to_box)
    short_m = why.criterion("probe.system_5m_run")
    return SYSTEM_5_M if run_m is None or run_m <= short_m else SYSTEM_9_M


def _proximity_probe(
    tip_mm: float, system_m: float, band: str, chain: str, sealed: bool, why: Why
) -> Transducer:
    v_per_mm = why.criterion("probe.scale_factor")
    electronics = "4-20 mA transmitter" if chain == "transmitter" else "oscillator-demodulator"
    kind = "Pressure-rated proximity probe with lead feed-through" if sealed else "Proximity probe"
    return Transducer(
        "proximity_probe",
        Measure(tip_mm, "mm"),
        Measure(system_m, "m"),
        f"{v_per_mm:g} V/mm ({v_per_mm * _MV_PER_MIL:.0f} mV/mil)",
        band,
        f"{kind}, {tip_mm:g} mm tip, {electronics}, {system_m:g} m system",
    )


@rule(id="INS-TIP-010", title="Tip of the radial probes", phase=Phase.TRANSDUCERS)
def radial_probes(ctx: Context) -> Iterator[Assign]:
    """A small shaft bends the field of a large tip, and two large tips on it disturb each other."""
    made: dict[tuple[str, bool, bool], tuple[Transducer, int]] = {}
    for shaft, group in radial_groups(ctx):
        sealed = in_seal_housing(group[0])
        place = (shaft.key, len(group) > 1, sealed)
        if place not in made:
            why = ctx.why()
            tip_mm, text = _radial_tip(shaft, len(group) > 1, why)
            system_m = _system_m(ctx, why)
            low, high = why.criterion("radial.band_low"), why.criterion("radial.band_high")
            band = f"{frequency_text(low)} to {frequency_text(high)}"
            probe = _proximity_probe(tip_mm, system_m, band, group[0].chain, sealed, why)
            made[place] = (probe, why.say(f"{shaft.key} radial: {text}; {system_m:g} m system."))
        probe, reason = made[place]
        yield Assign(group, {"transducer": probe}, reason)


@rule(id="INS-TIP-020", title="Tip of the axial and phase probes", phase=Phase.TRANSDUCERS)
def axial_and_phase_probes(ctx: Context) -> Iterator[Assign]:
    """These look at a flat face or a notch from one side only, so the tip of the longest range serves."""
    for quantity, band_key in (
        ("axial_position", "cable.bandwidth_axial"),
        ("phase_reference", "cable.bandwidth_phase"),
    ):
        points = ctx.of_quantity(quantity)
        if not points:
            continue
        why = ctx.why()
        system_m = _system_m(ctx, why)
        band = f"0 Hz to {frequency_text(why.criterion(band_key))}"
        probe = _proximity_probe(TIP_8_MM, system_m, band, points[0].chain, False, why)
        reason = why.say(f"8 mm tip, always for {quantity.replace('_', ' ')}; {system_m:g} m system.")
        yield Assign(points, {"transducer": probe}, reason)


@rule(id="INS-FRQ-010", title="Oscillator frequency groups", phase=Phase.TRANSDUCERS)
def frequency_groups(ctx: Context) -> Iterator[Assign]:
    """Oscillators of one frequency beat through tips too close together and show vibration at rest.

    Axial tips are left alone: how far apart they stand is the maker's to say, and a note asks for it.
    """
    seen: dict[str, int | None] = {}
    for shaft, group in radial_groups(ctx):
        probe = group[0].transducer
        if len(group) < 2 or probe is None or probe.tip is None:
            continue
        if shaft.key not in seen:
            why = ctx.why()
            spacing_mm = tip_spacing_mm(shaft, why)
            least_mm = why.criterion(TIP_SPACING[probe.tip.value])
            seen[shaft.key] = None
            if spacing_mm is not None and spacing_mm < least_mm:
                seen[shaft.key] = why.say(
                    f"{shaft.key}: tips {spacing_mm:.1f} mm apart, {probe.tip.value:g} mm tips need "
                    f"{least_mm:g} mm: Y and X in different oscillator frequency groups."
                )
        reason = seen[shaft.key]
        if reason is not None:
            for point, name in zip(group, ("F1", "F2"), strict=False):
                yield Assign((point,), {"frequency_group": name}, reason)


def _gear_accelerometers(ctx: Context) -> list[PointDraft]:
    return [
        p for p in ctx.of_quantity("casing_vibration") if p.shaft.kind != "driver" and p.chain == "monitor"
    ]


def mesh_band_hz(ctx: Context, why: Why) -> float | None:
    """Return the band that shows the gear mesh, None while no tooth count is known."""
    mesh_hz = mesh_frequency_hz(ctx, why)
    return None if mesh_hz is None else mesh_hz * _mesh_orders(ctx, why)


def _mesh_orders(ctx: Context, why: Why) -> float:
    """Return up to which order of the mesh the band must reach: process three and a bit, packaged one."""
    why.fact("service_class", ctx.machine.service_class)
    return why.criterion("accelerometer.band_orders" if ctx.process else "accelerometer.band_minimum_orders")


@rule(id="INS-ACC-010", title="Accelerometer by the mesh frequency", phase=Phase.TRANSDUCERS)
def gear_accelerometers(ctx: Context) -> Iterator[Item]:
    """Mesh and its harmonics lie above what a standard accelerometer passes on a fast machine."""
    points = _gear_accelerometers(ctx)
    if not points:
        return
    why = ctx.why()
    needed_hz = mesh_band_hz(ctx, why)
    assumed = needed_hz is None
    if needed_hz is None:
        fastest = max(
            (shaft for shaft in ctx.shafts.values() if shaft.kind == "pinion"),
            key=lambda shaft: shaft.speed_rpm or 0,
        )
        teeth = int(why.criterion("accelerometer.assumed_teeth"))
        why.fact(fastest.fact_path("teeth"), None)
        speed_rpm = why.fact(fastest.fact_path("speed"), fastest.speed_rpm or 0)
        needed_hz = _mesh_orders(ctx, why) * gear_mesh_frequency_hz(speed_rpm, teeth)
    standard_hz = why.criterion("accelerometer.standard_band")
    high = needed_hz > standard_hz
    low_hz = why.criterion("accelerometer.low_band")
    sensor = _accelerometer(high, low_hz, why)
    comparison, kind = ("above", "high-frequency") if high else ("within", "standard")
    reason = why.say(
        f"Mesh needs a band to {frequency_text(needed_hz)}, {comparison} the {frequency_text(standard_hz)} "
        f"of the standard accelerometer: {kind} type."
    )
    yield Assign(points, {"transducer": sensor, "notes": _accelerometer_notes(high, low_hz)}, reason)
    if assumed:
        text = (
            f"Teeth not told: {teeth} on {fastest.key}, the fastest pinion, decide the type of the casing "
            "accelerometer and nothing else."
        )
        changes = ("type of the casing accelerometers", "accelerometer.band")
        yield Assumption(fastest.fact_path("teeth"), teeth, text, changes, 0, (reason,))
        text = "Teeth of bull gear and pinions: mesh frequencies and the casing accelerometer rest on them."
        yield OpenPoint(GEAR_TEETH, "bull_gear.teeth", text, "maker", (reason,))


def _accelerometer(high: bool, low_hz: float, why: Why) -> Transducer:
    top_hz = why.criterion("accelerometer.high_band" if high else "accelerometer.standard_band")
    return Transducer(
        "high_frequency_accelerometer" if high else "accelerometer",
        None,
        None,
        "10 mV/g" if high else "100 mV/g",
        f"{frequency_text(low_hz)} to {frequency_text(top_hz)}",
        f"{'High-frequency accelerometer' if high else 'Accelerometer'}, to {frequency_text(top_hz)}, "
        f"{'stud mounted' if high else 'constant-current supply'}",
    )


def _accelerometer_notes(high: bool, low_hz: float) -> tuple[str, ...]:
    mount = "Stud mounted on a flat spot face, square to the shaft; no adapter, no magnet."
    if not high:
        return (mount,)
    return (
        mount,
        f"Velocity from {low_hz:g} Hz needs a second, standard sensor or a stated noise floor of this one.",
    )


@rule(id="INS-VEL-010", title="Velocity sensors on casings", phase=Phase.TRANSDUCERS)
def velocity_sensors(ctx: Context) -> Iterator[Item]:
    """Without a rack nobody evaluates acceleration, and a motor has no mesh: velocity says enough."""
    accelerometers = {point.key for point in _gear_accelerometers(ctx)}
    points = [point for point in ctx.of_quantity("casing_vibration") if point.key not in accelerometers]
    if not points:
        return
    why = ctx.why()
    current = why.fact("installation.chain", points[0].chain) != "monitor"
    band = f"{frequency_text(why.criterion('accelerometer.low_band'))} to {frequency_text(VELOCITY_TOP_HZ)}"
    scale = "4-20 mA over the range" if current else "3.94 mV per mm/s (100 mV per in/s)"
    output = "4-20 mA output of its own" if current else "voltage output"
    sensor = Transducer("velocity_sensor", None, None, scale, band, f"Velocity sensor, r.m.s., {output}")
    reason = why.say(f"Casing velocity r.m.s., {band}, {output}.")
    yield Assign(points, {"transducer": sensor}, reason)
    if any(point.shaft.kind != "driver" for point in points):
        text = f"Gear mesh is not observed by a velocity sensor to {frequency_text(VELOCITY_TOP_HZ)}."
        yield OpenPoint("mesh_not_observed", "installation.chain", text, "purchaser", (reason,))


@rule(
    id="INS-TMP-010",
    title="Temperature elements",
    phase=Phase.TRANSDUCERS,
    source="API 670",
    edition="2014",
    status="from memory",
)
def temperature_elements(ctx: Context) -> Iterator[Assign]:
    """A third wire takes the cable out of the reading."""
    scale = "Pt100, 100 ohm at 0 degC, 3-wire"
    element = Transducer(
        "resistance_thermometer", None, None, scale, None, "Resistance thermometer, Pt100, 3-wire"
    )
    points = ctx.of_quantity("bearing_temperature") + ctx.of_quantity("winding_temperature")
    if points:
        reason = ctx.why().say("Pt100 element, 3-wire.")
        yield Assign(points, {"transducer": element}, reason)


@rule(id="INS-SPD-010", title="Speed sensors", phase=Phase.TRANSDUCERS)
def speed_sensors(ctx: Context) -> Iterator[Assign]:
    """A toothed wheel gives enough pulses a turn to act within a revolution or two."""
    text = "Speed sensor over a toothed wheel or notches"
    sensor = Transducer("speed_sensor", None, None, "pulses a turn by the wheel", None, text)
    points = ctx.of_quantity("overspeed") + ctx.of_quantity("speed")
    if points:
        reason = ctx.why().say(f"{text}.")
        yield Assign(points, {"transducer": sensor}, reason)
