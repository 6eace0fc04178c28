"""Ranges of radial channels, and every setpoint as the loop or the gap signal carries it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from msgspec.structs import replace

from specapp.domain.proposal import Check, Measure, Range, Setpoint
from specapp.kernel.loops import current_ma
from specapp.kernel.probes import gap_voltage_v
from specapp.rulebook.context import Assign, Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.setpoints_radial import NOISE, UM_PER_MM, Groups, groups_by_trip

Item = Assign | Check
Carry = Callable[[Setpoint, PointDraft], Setpoint]
DECIMALS = 4
# Full scales offered by each chain, in criteria range.<chain>_<unit>_<n>.
STEPS = {"monitor": 3, "transmitter": 5}


@rule(id="SET-RNG-010", title="Full scale of radial channels", phase=Phase.SETPOINTS)
def radial_full_scale(ctx: Context) -> Iterator[Item]:
    """A range that a start can overrun trips the machine by its own saturation."""
    for _, trip, groups in groups_by_trip(ctx):
        multiplier = groups[0][1][0].multiplier
        yield from _full_scale(ctx, groups, trip, 1.0 if multiplier is None else multiplier.factor)


def _full_scale(ctx: Context, groups: Groups, trip: float, factor: float) -> Iterator[Item]:
    """Yield the first full scale that leaves room above the trip, with the check of it."""
    chain = groups[0][1][0].chain
    unit = ctx.units.displacement.unit
    why = ctx.why()
    scales = [why.criterion(f"range.{chain}_{unit}_{step + 1}") for step in range(STEPS[chain])]
    needed = why.criterion("range.full_scale_multiple") * trip
    ceiling = why.criterion("range.multiplied_trip_share")
    why.fact("setting_units", ctx.machine.setting_units)
    fitting = [full for full in scales if full >= needed - NOISE and factor * trip <= ceiling * full + NOISE]
    full = fitting[0] if fitting else scales[-1]
    multiplied = f", {factor:g} times it within {ceiling:.0%}" if factor > 1 else ""
    text = f"Full scale {full:g} {unit} p-p: at least twice the trip of {trip:g}{multiplied}."
    remedies: tuple[str, ...] = ()
    if not fitting:
        text = f"No full scale leaves room above the trip of {trip:g} {unit} p-p; the largest is shown."
        remedies = ("A transducer chain with a larger range.", "A lower multiplier or trip.")
    reason = why.say(text)
    signal = Range(Measure(0.0, unit), Measure(full, unit), "pp")
    result = "pass" if fitting else "fail"
    measured, limit = Measure(full, unit), Measure(needed, unit)
    for group, points in groups:
        yield Assign(points, {"range": signal}, reason)
        yield Check("range.full_scale", group, result, measured, limit, text, remedies, None, (reason,))


@rule(
    id="SET-SIG-010",
    title="Setpoints as loop current or gap voltage",
    phase=Phase.SETPOINTS,
    source="NAMUR NE 43 for the current bands (public descriptions)",
    status="published",
    supersedes=("SET-RAD-010", "SET-RAD-020", "SET-AXI-010", "SET-CAS-020", "SET-CAS-040", "OVR-SET-010"),
)
def signals(ctx: Context) -> Iterator[Item]:
    """Whoever calibrates a channel works in volts or milliamperes, not in micrometres."""
    chains: dict[str, list[list[PointDraft]]] = {}
    for points in ctx.groups.values():
        if points[0].alarm is not None or points[0].trip is not None:
            chains.setdefault(points[0].chain, []).append(points)
    if "transmitter" in chains:
        why = ctx.why()
        why.fact("chain", "transmitter")
        reason = why.say("4 mA at the low end of the range, 20 mA at the high end, linear between.")
        for points in chains["transmitter"]:
            yield from _with(points, _currents, reason)
    if "monitor" in chains:
        why = ctx.why()
        scale, rest_v = why.criterion("probe.scale_factor"), why.criterion("probe.gap_voltage")
        reason = why.say(
            f"{scale:g} V/mm; gap voltage {rest_v:g} V at mid gap, more negative as the gap opens."
        )
        for points in chains["monitor"]:
            first = points[0]
            if first.quantity == "radial_vibration":
                per_unit = ctx.units.displacement.canonical(1.0) / UM_PER_MM * scale
                yield from _with(points, partial(_peak_to_peak, v_per_unit=per_unit), reason)
            elif first.quantity == "axial_position" and first.shaft.looks_toward is not None:
                opening = 1.0 if first.shaft.looks_toward == "active" else -1.0
                away_mm = opening * ctx.units.axial.canonical(1.0)
                gaps = partial(_gaps, away_mm_per_unit=away_mm, scale_v_per_mm=scale, rest_v=rest_v)
                yield from _with(points, gaps, reason)


def _with(points: list[PointDraft], carry: Carry, reason: int) -> Iterator[Assign]:
    """Yield the setpoints of a group with what carries them; the points of a group share them."""
    first = points[0]
    values = {}
    if first.alarm is not None:
        values["alarm"] = carry(first.alarm, first)
    if first.trip is not None:
        values["trip"] = carry(first.trip, first)
    yield Assign(points, values, reason)


def _currents(setpoint: Setpoint, point: PointDraft) -> Setpoint:
    signal = point.range
    if signal is None:
        return setpoint
    low, high = signal.low.value, signal.high.value
    return replace(
        setpoint,
        milliamps=_current(setpoint.value, low, high),
        milliamps_low=_current(setpoint.low, low, high),
    )


def _current(value: float | None, low: float, high: float) -> float | None:
    return None if value is None else round(current_ma(value, low, high), DECIMALS)


def _peak_to_peak(setpoint: Setpoint, point: PointDraft, *, v_per_unit: float) -> Setpoint:
    value = setpoint.value
    return setpoint if value is None else replace(setpoint, volts=round(value * v_per_unit, DECIMALS))


def _gaps(
    setpoint: Setpoint, point: PointDraft, *, away_mm_per_unit: float, scale_v_per_mm: float, rest_v: float
) -> Setpoint:
    """Return an axial setpoint with the gap voltage of both its sides."""

    def gap_v(value: float) -> float:
        return round(gap_voltage_v(value * away_mm_per_unit, scale_v_per_mm, rest_v), DECIMALS)

    if setpoint.value is None or setpoint.low is None:
        return setpoint
    return replace(setpoint, volts=gap_v(setpoint.value), volts_low=gap_v(setpoint.low))
