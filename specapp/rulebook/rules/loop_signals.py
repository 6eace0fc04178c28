"""What a cable does to the signals of loops: how fast it is charged, and whether data rides on a current."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Check, Measure
from specapp.kernel.cables import constant_current_frequency_limit_hz
from specapp.kernel.loops import loop_resistance_ohm
from specapp.rulebook.check_answers import NOISE, answer, not_evaluated
from specapp.rulebook.context import Context
from specapp.rulebook.loop_types import loop_types_of_machine
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.loops import counted, on_loop
from specapp.rulebook.rules.transducers import frequency_text

_PF_PER_NF = 1000.0
_US_PER_OHM_NF = 1e-3
_SENSOR_MA = 1.0
_BANDS = {
    "accelerometer": "accelerometer.standard_band",
    "high_frequency_accelerometer": "accelerometer.high_band",
}


@rule(id="LOP-SLW-010", title="Charging the cable of an accelerometer", phase=Phase.ARCHITECTURE)
def cable_is_charged(ctx: Context) -> Iterator[Check]:
    """A constant current charges a cable only so fast; a large signal at the top of the band is cut off."""
    for loop in ctx.once(loop_types_of_machine):
        if loop.key != "accelerometer":
            continue
        why = ctx.why()
        run_m = why.fact("installation.cable_run", ctx.machine.installation.cable_run)
        told = ctx.machine.devices.get(loop.device)
        path = f"devices.{loop.device}.current_ma"
        supply_ma = why.fact(path, None if told is None else told.current_ma)
        kinds = {point.transducer.type for point in loop.points if point.transducer is not None}
        needed_hz = max(why.criterion(_BANDS[kind]) for kind in sorted(kinds))
        limit = Measure(needed_hz, "Hz")
        name = "loop.charging"
        if run_m is None or supply_ma is None:
            needs, words = (
                (path, "supply current") if supply_ma is None else ("installation.cable_run", "cable run")
            )
            text = f"{counted(loop)}: {words} not told; how fast the cable is charged is not known."
            yield from on_loop(loop, not_evaluated(why, name, needs, text, limit))
            continue
        peak_v, pf_per_m = why.criterion("accelerometer.largest_signal"), why.criterion("cable.capacitance")
        reached_hz = 0.0
        if supply_ma > _SENSOR_MA:
            reached_hz = constant_current_frequency_limit_hz(supply_ma, run_m * pf_per_m, peak_v)
        text = (
            f"{counted(loop)}: {supply_ma:g} mA, of which the sensor takes 1 mA, drives {peak_v:g} V peak "
            f"into {run_m:g} m at {pf_per_m:g} pF/m up to {frequency_text(reached_hz)}; its band ends at "
            f"{frequency_text(needed_hz)}."
        )
        passes = reached_hz >= needed_hz - NOISE
        remedies = (
            () if passes else ("A larger supply current, a shorter cable, or proof of smaller signals.",)
        )
        measured = Measure(reached_hz, "Hz")
        result = "pass" if passes else "caution"
        yield from on_loop(loop, answer(why, name, result, text, measured, limit, remedies))


@rule(id="LOP-DIG-010", title="Digital signal on a current loop", phase=Phase.ARCHITECTURE)
def digital_signal_passes(ctx: Context) -> Iterator[Check]:
    """A digital signal superimposed on a current is rounded off by resistance and capacitance.

    Only where run, conductor and load are told: the supply of the loop asks for the same facts.
    """
    told = ctx.machine.installation
    for loop in ctx.once(loop_types_of_machine):
        if not loop.is_current_loop:
            continue
        why = ctx.why()
        run_m = why.fact("installation.cable_run", told.cable_run)
        size = why.fact("installation.conductor", told.conductor)
        load_ohm = why.fact("installation.loop_load", told.loop_load)
        interface_ohm = why.fact("installation.interface_resistance", told.interface_resistance) or 0.0
        if run_m is None or size is None or load_ohm is None:
            why.say(f"{counted(loop)}: run, conductor or load not told.")
            continue
        limit_us, pf_per_m = why.criterion("loop.time_constant"), why.criterion("cable.capacitance")
        resistance_ohm = load_ohm + interface_ohm + loop_resistance_ohm(run_m, size)
        constant_us = resistance_ohm * run_m * pf_per_m / _PF_PER_NF * _US_PER_OHM_NF
        passes = constant_us <= limit_us + NOISE
        text = (
            f"{counted(loop)}: {resistance_ohm:.0f} ohm and {run_m:g} m at {pf_per_m:g} pF/m make "
            f"{constant_us:.0f} us; {limit_us:g} us where a digital signal rides on the current."
        )
        remedies = () if passes else ("Less load, a shorter cable, or no superimposed digital signal.",)
        measured, limit = Measure(constant_us, "us"), Measure(limit_us, "us")
        result = "pass" if passes else "caution"
        yield from on_loop(loop, answer(why, "loop.digital_signal", result, text, measured, limit, remedies))
