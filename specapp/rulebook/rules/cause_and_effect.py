"""Cause and effect: what each voting group does at each of its levels, and where it is decided."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import CauseAndEffect, Measure, Setpoint
from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.facts import TURBINES
from specapp.rulebook.rules.relays import CIRCUIT_FAULT, TRIP, Cause, causes

STOP_DRIVER = "stop_driver"
CLOSE_TRIP_VALVE = "close_trip_valve"
CLOSE_EXPANDER_INLET = "close_expander_inlet"
ANNUNCIATE = ("annunciate",)
_WITH_THE_STOP = ("open_blow_off", "close_inlet", "start_auxiliary_oil_pump", "block_restart")
_BY_OTHERS = "Valves and oil pump are acted on by the shutdown system, by others."
# A word on what the number of a displacement setpoint measures.
_DETECTION = {"pp": " p-p", "rms": " r.m.s.", "peak": " peak"}


def trip_effects(ctx: Context) -> tuple[str, ...]:
    """Return what every trip does: stop or shut off the drive, relieve, shut in, oil, block the restart."""
    driver = ctx.machine.driver
    turbine = driver is not None and driver.kind in TURBINES
    stops = [CLOSE_TRIP_VALVE if turbine else STOP_DRIVER]
    if any(pinion.expander_stages for pinion in ctx.machine.pinions):
        # An expander goes on driving the train after the driver is off.
        stops.append(CLOSE_EXPANDER_INLET)
    return (*stops, *_WITH_THE_STOP)


@rule(id="CAE-ROW-010", title="Cause and effect", phase=Phase.CAUSE_AND_EFFECT)
def rows(ctx: Context) -> Iterator[CauseAndEffect]:
    """The shutdown system is programmed from this table and tested against it, row by row."""
    why = ctx.why()
    driver = ctx.machine.driver
    why.fact("driver.kind", None if driver is None else driver.kind)
    effects = trip_effects(ctx)
    reason = why.say(
        f"A trip: {', '.join(effects).replace('_', ' ')}; the auxiliary oil pump is started, never stopped. "
        "Alarm and circuit fault are annunciated."
    )
    trace = (reason,)
    for cause in ctx.once(causes):
        yield _row(cause, effects if cause.level == TRIP else ANNUNCIATE, trace)


def _row(cause: Cause, effects: tuple[str, ...], trace: tuple[int, ...]) -> CauseAndEffect:
    first, level = cause.points[0], cause.level
    delay: Measure | None = None
    voting: str | None
    if level == CIRCUIT_FAULT:
        setting, note = "transducer, cable or channel fault", _fault_note(first)
        voting = f"1oo{len(cause.points)}"
    else:
        setpoint = first.trip if level == TRIP else first.alarm
        assert setpoint is not None
        setting, delay = _setting(setpoint, first.range.detection if first.range else ""), setpoint.delay
        voting = setpoint.voting if level == TRIP else f"1oo{len(cause.points)}"
        note = _note(cause, setpoint)
    return CauseAndEffect(
        cause=cause.group,
        level=level,
        effects=effects,
        delay=delay,
        voting=voting,
        setting=setting,
        acts_in=f"monitor rack {cause.acts_in}" if first.chain == "monitor" else cause.acts_in,
        relay=cause.relay,
        points=cause.keys,
        note=note,
        trace=trace,
    )


def _setting(setpoint: Setpoint, detection: str) -> str:
    if setpoint.value is None:
        return "by the maker"
    unit = setpoint.unit
    if setpoint.low is not None:
        if setpoint.low == -setpoint.value:
            return f"±{setpoint.value:g} {unit}"
        return f"{setpoint.low:g} / +{setpoint.value:g} {unit}"
    return f"{setpoint.value:g} {unit}{_DETECTION.get(detection, '')}"


def _fault_note(first: PointDraft) -> str:
    trip = first.trip
    if trip is None or not trip.on_circuit_fault:
        return ""
    return f"{trip.on_circuit_fault[0].upper()}{trip.on_circuit_fault[1:]}."


def _note(cause: Cause, setpoint: Setpoint) -> str:
    parts = []
    if setpoint.status == "hold":
        parts.append("Held: below the acceptance limit, not released.")
    elif setpoint.status == "placeholder":
        parts.append("Placeholder until the maker's value is entered.")
    if cause.level == TRIP:
        if cause.relay is None:
            parts.append(f"The trip acts in the {cause.acts_in}.")
        if cause.points[0].multiplier is not None:
            parts.append(f"Times {cause.points[0].multiplier.factor:g} while starting, armed and timed.")
        parts.append(_BY_OTHERS)
    return " ".join(parts)
