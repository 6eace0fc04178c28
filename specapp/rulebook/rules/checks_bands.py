"""Checks of how high in frequency each chain sees: monitor, sampling, accelerometer, cable."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Check, Measure
from specapp.kernel.cables import five_percent_bandwidth_hz, largest_capacitance_nf
from specapp.kernel.loops import cable_bandwidth_hz, loop_resistance_ohm
from specapp.kernel.spectra import order_frequency_hz, sampling_rate_needed_hz
from specapp.kernel.speeds import rotation_frequency_hz
from specapp.rulebook.check_answers import NOISE, Answer, answer, not_evaluated
from specapp.rulebook.context import Context, PointDraft, Shaft
from specapp.rulebook.loop_types import signal_source, told_output_ohm
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.transducers import VELOCITY_TOP_HZ, frequency_text, mesh_band_hz
from specapp.rulebook.trace import Why

_PF_PER_NF = 1000.0


def _hz(value: float) -> Measure:
    return Measure(value, "Hz")


def _radial_shafts(ctx: Context) -> list[Shaft]:
    """Return the shafts with radial probes whose speed is known, each once."""
    shafts = {point.shaft.key: point.shaft for point in ctx.of_quantity("radial_vibration")}
    return [shaft for shaft in shafts.values() if shaft.speed_rpm is not None]


@rule(id="CHK-BND-010", title="Band of the radial vibration", phase=Phase.CHECKS)
def radial_band(ctx: Context) -> Iterator[Check]:
    """Rubs and misalignment show at multiples of the speed; a band that ends below them hides them."""
    for shaft in _radial_shafts(ctx):
        why = ctx.why()
        speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm or 0)
        low_hz, high_hz = why.criterion("radial.band_low"), why.criterion("radial.band_high")
        orders = why.criterion("radial.band_orders")
        top_hz, one_x_hz = order_frequency_hz(speed_rpm, orders), rotation_frequency_hz(speed_rpm)
        band = f"the band is {frequency_text(low_hz)} to {frequency_text(high_hz)}"
        name = "radial.band"
        if one_x_hz < low_hz - NOISE:
            text = f"1X of {shaft.key} at {one_x_hz:.3g} Hz lies below it: {band}."
            remedies: tuple[str, ...] = (f"A band from below {one_x_hz:.3g} Hz.",)
            found = answer(why, name, "caution", text, _hz(one_x_hz), _hz(low_hz), remedies)
        else:
            passes = top_hz <= high_hz + NOISE
            text = f"{orders:g} X of {shaft.key} at {frequency_text(top_hz)}; {band}."
            remedies = () if passes else (f"A band to at least {frequency_text(top_hz)}.",)
            found = answer(
                why, name, "pass" if passes else "caution", text, _hz(top_hz), _hz(high_hz), remedies
            )
        yield found.on(shaft.key)


@rule(id="CHK-BND-020", title="Sampling rate of the radial vibration", phase=Phase.CHECKS)
def radial_sampling(ctx: Context) -> Iterator[Check]:
    """Too few samples a turn cut the peaks off, and the peak to peak is what trips."""
    shafts = _radial_shafts(ctx)
    if not shafts:
        return
    fastest = max(shafts, key=lambda shaft: shaft.speed_rpm or 0)
    why = ctx.why()
    path, name = "installation.sample_rate", "radial.sampling"
    told_hz = why.fact(path, ctx.machine.installation.sample_rate)
    speed_rpm = why.fact(fastest.fact_path("speed"), fastest.speed_rpm or 0)
    a_turn, a_cycle = why.criterion("radial.samples_per_turn"), why.criterion("radial.sample_rate_factor")
    high_hz = why.criterion("radial.band_high")
    needed_hz = sampling_rate_needed_hz(speed_rpm, high_hz, a_turn, a_cycle)
    wanted = (
        f"{frequency_text(needed_hz)} for {a_turn:g} samples a turn of {fastest.key} and {a_cycle:g} times "
        f"{frequency_text(high_hz)}"
    )
    if told_hz is None:
        text = f"Sampling rate not told; a sampling chain needs {wanted}."
        yield not_evaluated(why, name, path, text, _hz(needed_hz)).on("machine")
        return
    passes = told_hz >= needed_hz - NOISE
    text = f"Sampled at {frequency_text(told_hz)}; needed: {wanted}."
    remedies = () if passes else (f"A sampling rate of at least {frequency_text(needed_hz)}.",)
    result = "pass" if passes else "caution"
    yield answer(why, name, result, text, _hz(told_hz), _hz(needed_hz), remedies).on("machine")


_ACCELEROMETER_BAND = {
    "accelerometer": "accelerometer.standard_band",
    "high_frequency_accelerometer": "accelerometer.high_band",
}


@rule(id="CHK-BND-030", title="Accelerometer against the gear mesh", phase=Phase.CHECKS)
def accelerometer_band(ctx: Context) -> Iterator[Check]:
    """A gear fault shows at the mesh and its harmonics; a sensor that ends below them is blind to it."""
    made: dict[str, Answer] = {}
    for point in ctx.of_quantity("casing_vibration"):
        kind = "" if point.transducer is None else point.transducer.type
        if kind not in _ACCELEROMETER_BAND:
            continue
        if kind not in made:
            made[kind] = _accelerometer_band(ctx, kind)
        yield made[kind].on(point.key)


def _accelerometer_band(ctx: Context, kind: str) -> Answer:
    why = ctx.why()
    needed_hz = mesh_band_hz(ctx, why)
    top_hz = why.criterion(_ACCELEROMETER_BAND[kind])
    name = "accelerometer.band"
    if needed_hz is None:
        text = f"Teeth not told: the mesh is not known; the sensor reads to {frequency_text(top_hz)}."
        return not_evaluated(why, name, "bull_gear.teeth", text, _hz(top_hz))
    if needed_hz <= top_hz + NOISE:
        text = f"Mesh needs {frequency_text(needed_hz)}; the sensor reads to {frequency_text(top_hz)}."
        return answer(why, name, "pass", text, _hz(needed_hz), _hz(top_hz))
    orders = "three orders" if ctx.process else "one order"
    text = (
        f"Mesh not observable at {orders}: it needs {frequency_text(needed_hz)}, the sensor reads to "
        f"{frequency_text(top_hz)}."
    )
    remedies = ("Agree with the maker how mesh faults are to be seen, such as by the axial probes.",)
    return answer(why, name, "caution", text, _hz(needed_hz), _hz(top_hz), remedies)


@rule(id="CHK-BND-040", title="Bandwidth of the field cable", phase=Phase.CHECKS)
def cable_bandwidth(ctx: Context) -> Iterator[Check]:
    """A long cable is a low-pass filter: it makes a machine look smoother than it is."""
    groups = [group for group in ctx.groups.values() if _sends_signal(group[0])]
    if not groups:
        return
    installation = ctx.machine.installation
    run_m, size, source_ohm = (
        installation.cable_run,
        installation.conductor,
        installation.interface_resistance,
    )
    facts = {
        "installation.cable_run": run_m,
        "installation.interface_resistance": source_ohm,
        "installation.conductor": size,
    }
    missing = [path for path, value in facts.items() if value is None]
    if run_m is None or size is None or source_ohm is None:
        why = ctx.why()
        for path, value in facts.items():
            why.fact(path, value)
        names = " and ".join(path.split(".")[1].replace("_", " ") for path in missing)
        unchecked_m = why.criterion("cable.length_unchecked")
        text = (
            f"Bandwidth of the field cables not known without {names}; none is asked up to {unchecked_m:g} m."
        )
        yield not_evaluated(why, "cable.bandwidth", missing[0], text).on("machine")
        return
    line_ohm = source_ohm + loop_resistance_ohm(run_m, size) / 2
    made: dict[tuple[str, str, str], Answer] = {}
    for group in groups:
        point = group[0]
        kind = "" if point.transducer is None else point.transducer.type
        # Only the radial band depends on the shaft, by its speed.
        place = (point.quantity, kind, point.shaft.key if point.direction else "")
        if place not in made:
            why = ctx.why()
            for path, value in facts.items():
                why.fact(path, value)
            output_ohm = told_output_ohm(ctx.machine, point)
            why.fact(f"devices.{signal_source(point)}.output_resistance_ohm", output_ohm)
            needed_hz = _needed_band_hz(point, kind, why)
            made[place] = _cable_answer(why, needed_hz, run_m, line_ohm, output_ohm)
        yield made[place].on(point.group)


def _sends_signal(point: PointDraft) -> bool:
    """Tell whether a point sends a dynamic voltage through the field cable, not a current or an element."""
    kind = "" if point.transducer is None else point.transducer.type
    analogue = kind == "proximity_probe" or kind == "velocity_sensor" or kind in _ACCELEROMETER_BAND
    return analogue and (point.chain == "monitor" or point.quantity == "phase_reference")


def _needed_band_hz(point: PointDraft, kind: str, why: Why) -> float:
    """Return the band that the cable of a point must pass."""
    if point.quantity == "radial_vibration":
        speed_rpm = why.fact(point.shaft.fact_path("speed"), point.shaft.speed_rpm or 0)
        by_speed_hz = order_frequency_hz(speed_rpm, why.criterion("cable.bandwidth_radial_orders"))
        return max(by_speed_hz, why.criterion("cable.bandwidth_radial_floor"))
    if point.quantity == "phase_reference":
        return why.criterion("cable.bandwidth_phase")
    if point.quantity == "axial_position":
        return why.criterion("cable.bandwidth_axial")
    key = _ACCELEROMETER_BAND.get(kind)
    return VELOCITY_TOP_HZ if key is None else why.criterion(key)


def _cable_answer(
    why: Why, needed_hz: float, run_m: float, line_ohm: float, output_ohm: float | None
) -> Answer:
    name = "cable.bandwidth"
    resistance_ohm = line_ohm + (output_ohm or 0)
    untold = "" if output_ohm is not None else " The output resistance of the device is not told."
    pf_per_m = why.criterion("cable.capacitance")
    if resistance_ohm <= 0:
        text = "No resistance in series with the cable: its capacitance takes nothing from the signal."
        return answer(why, name, "pass", text, None, _hz(needed_hz))
    passes_hz = five_percent_bandwidth_hz(cable_bandwidth_hz(resistance_ohm, pf_per_m, run_m))
    text = (
        f"{run_m:g} m at {pf_per_m:g} pF/m and {resistance_ohm:.1f} ohm in series pass "
        f"{frequency_text(passes_hz)} within 5 percent; {frequency_text(needed_hz)} is needed.{untold}"
    )
    if passes_hz >= needed_hz - NOISE:
        return answer(why, name, "pass", text, _hz(passes_hz), _hz(needed_hz))
    largest_nf = largest_capacitance_nf(resistance_ohm, needed_hz)
    remedies = (
        f"Cable of at most {largest_nf:.1f} nF, {largest_nf * _PF_PER_NF / run_m:.0f} pF/m over {run_m:g} m.",
        "Less resistance in series: another interface, or the rack nearer to the machine.",
    )
    return answer(why, name, "fail", text, _hz(passes_hz), _hz(needed_hz), remedies)


@rule(id="CHK-BND-050", title="Length of the field cable", phase=Phase.CHECKS)
def cable_length(ctx: Context) -> Iterator[Check]:
    """Up to a usual length no cable matters; beyond it the bandwidth must be shown, and then it ends."""
    if not any(_sends_signal(point) for point in ctx.points.values()):
        return
    why = ctx.why()
    path, name = "installation.cable_run", "cable.length"
    run_m = why.fact(path, ctx.machine.installation.cable_run)
    free_m, most_m = why.criterion("cable.length_unchecked"), why.criterion("cable.length_maximum")
    free, most = Measure(free_m, "m"), Measure(most_m, "m")
    if run_m is None:
        text = f"Length of the field cables not told; {free_m:g} m need no check."
        yield not_evaluated(why, name, path, text, free).on("machine")
        return
    measured = Measure(run_m, "m")
    if run_m <= free_m + NOISE:
        found = answer(why, name, "pass", f"{run_m:g} m; {free_m:g} m need no check.", measured, free)
    elif run_m > most_m + NOISE:
        text = f"{run_m:g} m; cables of these signals end at {most_m:g} m."
        remedies: tuple[str, ...] = ("A rack nearer to the machine.",)
        found = answer(why, name, "fail", text, measured, most, remedies)
    elif all(check.result == "pass" for check in ctx.checks if check.check == "cable.bandwidth"):
        text = f"{run_m:g} m, over {free_m:g} m; the bandwidth check passes."
        found = answer(why, name, "pass", text, measured, most)
    else:
        text = f"{run_m:g} m, over {free_m:g} m without a bandwidth check that passes."
        remedies = ("Settle the bandwidth check of these cables.",)
        found = answer(why, name, "caution", text, measured, free, remedies)
    yield found.on("machine")
