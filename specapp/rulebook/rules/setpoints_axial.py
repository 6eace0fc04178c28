"""Axial position: alarm and trip each side of mid float, volts where the sign is known, milliamps."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from specapp.domain.proposal import (
    Assumption,
    Candidate,
    Check,
    Measure,
    OpenPoint,
    Range,
    Reading,
    Setpoints,
)
from specapp.kernel.axial_position import AxialAllowance, allowance_mm, limits_mm
from specapp.kernel.probes import gap_voltage_v
from specapp.rulebook.context import Assign, Context, PointDraft, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.setpoint_values import plain_setpoint, rounded_pair
from specapp.rulebook.setting_units import SettingUnit
from specapp.rulebook.trace import Why

Item = Assign | Assumption | Check | OpenPoint
TERMS = ("axial.allowance_cap", "axial.babbitt_share", "axial.rub_share")
NOISE = 1e-9


def axial_groups(ctx: Context) -> Iterator[tuple[str, list[PointDraft]]]:
    """Yield the axial voting groups with their points."""
    for points in ctx.groups_of("axial_position"):
        yield points[0].group, points


def moving_together(ctx: Context, shaft: Shaft) -> list[Shaft]:
    """Return the shafts whose impellers move axially with this one: with the bull gear, all it locates."""
    if shaft.kind != "bull_gear":
        return [shaft]
    carried = [s for s in ctx.shafts.values() if s.kind == "pinion" and not s.thrust_bearing]
    return [shaft, *carried]


def _clearance(ctx: Context, shaft: Shaft, why: Why) -> tuple[float | None, list[str]]:
    """Return the smallest axial gap of an impeller that moves with the shaft, and the paths not told."""
    gaps, missing = [], []
    for other in moving_together(ctx, shaft):
        gap_mm = getattr(other.told, "impeller_axial_clearance", None)
        path = other.fact_path("impeller_axial_clearance")
        if gap_mm is not None:
            gaps.append(why.fact(path, gap_mm))
        elif other.stages:
            missing.append(path)
    return (min(gaps) if gaps else None), missing


@rule(id="SET-AXI-010", title="Axial alarm and trip", phase=Phase.SETPOINTS)
def axial_setpoints(ctx: Context) -> Iterator[Item]:
    """The trip must come before babbitt is gone and before an impeller touches, and outside the hot float."""
    shared: _Shared | None = None
    for group, points in axial_groups(ctx):
        shared = shared or _Shared(ctx)
        yield from _group(ctx, group, points, shared)


class _Shared:
    """What every axial group of a machine has in common: range, votes, reading beside the position."""

    def __init__(self, ctx: Context) -> None:
        self._ctx = ctx
        self.signal, self.range_reason = _range(ctx)
        self.reading = _axial_vibration(ctx)
        self._votes: dict[int, tuple[str, str, int]] = {}

    def vote(self, points: list[PointDraft]) -> tuple[str, str, int]:
        """Return the vote of a group, its answer to a circuit fault and the reason."""
        if len(points) not in self._votes:
            self._votes[len(points)] = _vote(self._ctx, points)
        return self._votes[len(points)]


def _group(ctx: Context, group: str, points: list[PointDraft], shared: _Shared) -> Iterator[Item]:
    shaft = points[0].shaft
    why = ctx.why()
    float_mm, babbitt_mm = shaft.float_mm, shaft.babbitt_mm
    if float_mm is None:
        float_mm = why.criterion("axial.float_default")
        yield from _default(ctx, shaft, "axial_float", float_mm, "Axial float", group)
    if babbitt_mm is None:
        babbitt_mm = why.criterion("axial.babbitt_default")
        yield from _default(ctx, shaft, "babbitt", babbitt_mm, "Babbitt thickness", group)
    why.fact(shaft.fact_path("axial_float"), float_mm)
    why.fact(shaft.fact_path("babbitt"), babbitt_mm)
    gap_mm, missing = _clearance(ctx, shaft, why)
    allowance = allowance_mm(
        float_mm,
        babbitt_mm,
        gap_mm,
        cap_mm=why.criterion("axial.allowance_cap"),
        babbitt_share=why.criterion("axial.babbitt_share"),
        rub_share=why.criterion("axial.rub_share"),
    )
    alarm_cap_mm, alarm_share = why.criterion("axial.alarm_cap"), why.criterion("axial.alarm_share")
    limits = limits_mm(float_mm, allowance, alarm_cap_mm=alarm_cap_mm, alarm_share=alarm_share)
    delay_s = why.criterion("delay.axial")
    governed_by = f"axial.{allowance.governed_by}"
    reason = why.say(
        f"{shaft.key}: half the float {float_mm / 2:.3f} mm and an allowance of {allowance.value_mm:.3f} mm "
        f"by {governed_by}: trip {limits.trip_mm:.3f}, alarm {limits.alarm_mm:.3f} mm each side of mid float."
    )
    needs = missing[0] if missing else shaft.fact_path("impeller_axial_clearance")
    terms = _terms_mm(allowance)
    trips = [None if term is None else float_mm / 2 + term for term in terms]
    alarms = [
        None if term is None else float_mm / 2 + min(alarm_cap_mm, alarm_share * term) for term in terms
    ]
    collar_held = shaft.kind == "pinion" and not shaft.thrust_bearing
    placeholder = collar_held or shaft.kind == "driver"
    unit = ctx.units.axial
    alarm_value, trip_value = unit.of(limits.alarm_mm), unit.of(limits.trip_mm)
    alarm_set, trip_set = rounded_pair(alarm_value, trip_value, unit)
    status = "placeholder" if placeholder else "proposed"
    alarm = plain_setpoint(
        alarm_set,
        alarm_value,
        unit.unit,
        delay_s=delay_s,
        governed_by=governed_by,
        candidates=_candidates(alarms, unit, needs),
        trace=(reason,),
        status=status,
        low=-alarm_set,
    )
    voting, fault, vote_reason = shared.vote(points)
    yield from _sign_is_known(ctx, shaft, points)
    yield Assign(points, {"range": shared.signal}, shared.range_reason)
    values: dict[str, Any] = {"alarm": alarm}
    if not collar_held:
        values["trip"] = plain_setpoint(
            trip_set,
            trip_value,
            unit.unit,
            delay_s=delay_s,
            governed_by=governed_by,
            candidates=_candidates(trips, unit, needs),
            trace=(reason, vote_reason),
            status=status,
            voting=voting,
            group=group,
            on_circuit_fault=fault,
            low=-trip_set,
        )
        yield Assign(points, {}, vote_reason)
    if points[0].chain == "monitor":
        values["further_readings"] = (shared.reading,)
    yield Assign(points, values, reason)
    yield from _open_points(ctx, shaft, missing, gap_mm, reason)


def _terms_mm(allowance: AxialAllowance) -> tuple[float | None, float | None, float | None]:
    return allowance.allowance_cap_mm, allowance.babbitt_share_mm, allowance.rub_share_mm


def _candidates(values: list[float | None], unit: SettingUnit, needs: str) -> tuple[Candidate, ...]:
    return tuple(
        [
            Candidate(term, None, unit.unit, needs)
            if value is None
            else Candidate(term, unit.of(value), unit.unit, None)
            for term, value in zip(TERMS, values, strict=True)
        ]
    )


def _default(ctx: Context, shaft: Shaft, name: str, value_mm: float, what: str, group: str) -> Iterator[Item]:
    if shaft.kind == "driver":
        return  # machine/1 tells no float of a driver; its setpoints are placeholders anyway
    why = ctx.why()
    why.criterion(f"axial.{'float' if name == 'axial_float' else 'babbitt'}_default")
    text = f"{what} of {shaft.key} not told: {value_mm:g} mm, as usual."
    yield Assumption(shaft.fact_path(name), value_mm, text, (f"{group} alarm and trip",), 0, (why.say(text),))


def _vote(ctx: Context, points: list[PointDraft]) -> tuple[str, str, int]:
    why = ctx.why()
    if len(points) == 1:
        fault = "alarm; trip on fault or a named time limit is open"
        return "1oo1", fault, why.say("One axial probe trips alone, 1oo1.")
    text = (
        "2oo2 for A and B: one faulted, the other decides; both faulted trip, because a wiped thrust bearing "
        "drives both gaps out of range (from memory, API 670; the purchaser may change it)."
    )
    return "2oo2", "alarm; of one faulted the other decides; both faulted trip", why.say(text)


def _range(ctx: Context) -> tuple[Range, int]:
    why = ctx.why()
    unit = ctx.units.axial.unit
    end = why.criterion(f"range.axial_{unit}")
    signal = Range(Measure(-end, unit), Measure(end, unit), "mean")
    return signal, why.say(f"Axial range -{end:g} to +{end:g} {unit}, zero at mid float.")


def _sign_is_known(ctx: Context, shaft: Shaft, points: list[PointDraft]) -> Iterator[OpenPoint]:
    """Ask which way the probes look: without it nobody knows whether a movement opens the gap."""
    if points[0].chain != "monitor" or shaft.looks_toward is not None:
        return
    why = ctx.why()
    path = shaft.fact_path("probe_looks_toward")
    why.fact(path, None)
    text = f"Which way the axial probes of {shaft.key} look is not told: their gap volts are not printed."
    needs = path if shaft.kind != "driver" else "driver.kind"
    yield OpenPoint(f"probe_looks_toward/{shaft.key}", needs, text, "maker", (why.say(text),))


def _axial_vibration(ctx: Context) -> Reading:
    unit = ctx.units.displacement.unit
    full = ctx.criteria.value(f"range.monitor_{unit}_1")
    text = (
        "From the axial probe; mesh and impeller load show here. No alarm until a baseline exists, never "
        "a trip."
    )
    signal = Range(Measure(0.0, unit), Measure(full, unit), "pp")
    return Reading("axial_vibration", signal, Setpoints(None, None), text)


def _open_points(
    ctx: Context, shaft: Shaft, missing: list[str], gap_mm: float | None, reason: int
) -> Iterator[Item]:
    key = shaft.key
    if shaft.kind == "driver":
        text = "Turbine axial setpoints are placeholders until the turbine maker's values are entered."
        yield OpenPoint("setpoints/M/axial", "driver.kind", text, "maker", (reason,))
        return
    if missing:
        partly = "" if gap_mm is None else " of every pinion that moves with it"
        text = (
            f"Axial impeller clearance{partly} not told for {key}: open impellers touch the shroud first, "
            "and the trip is not held against it."
        )
        yield OpenPoint(f"impeller_axial_clearance/{key}", missing[0], text, "maker", (reason,))
    if shaft.kind == "pinion" and not shaft.thrust_bearing:
        text = f"Axial alarm of {key} is a placeholder, without a trip, until the maker's values are entered."
        needs = shaft.fact_path("axial_location")
        yield OpenPoint(f"setpoints/{key}/axial", needs, text, "maker", (reason,))


@rule(id="SET-AXI-020", title="Axial trip inside the valid gap", phase=Phase.SETPOINTS)
def trip_inside_valid_gap(ctx: Context) -> Iterator[Check]:
    """A trip that lies where the circuit already reads as faulted can never be announced as a trip."""
    for group, points in axial_groups(ctx):
        why = ctx.why()
        setpoint = _axial_trip_of(ctx, points)
        if setpoint is None:
            continue
        value_mm = ctx.units.axial.canonical(why.fact(f"{group}.trip", setpoint))
        scale, rest_v = why.criterion("probe.scale_factor"), why.criterion("probe.gap_voltage")
        far_v, near_v = gap_voltage_v(value_mm, scale, rest_v), gap_voltage_v(-value_mm, scale, rest_v)
        fault_far_v, fault_near_v = (
            why.criterion("probe.fault_voltage_far"),
            why.criterion("probe.fault_voltage_near"),
        )
        needed_v = why.criterion("probe.fault_margin")
        margin_v = min(far_v - fault_far_v, fault_near_v - near_v)
        passes = margin_v >= needed_v - NOISE
        text = f"Gap at the trip {far_v:.2f} and {near_v:.2f} V: {margin_v:.2f} V inside the fault limits."
        remedies = () if passes else ("A longer-range transducer.", "A trip nearer to mid float.")
        result = "pass" if passes else "fail"
        measured, limit = Measure(round(margin_v, 4), "V"), Measure(needed_v, "V")
        reason = why.say(text)
        name = "axial.trip_inside_valid_gap"
        yield Check(name, group, result, measured, limit, text, remedies, None, (reason,))


def _axial_trip_of(ctx: Context, points: list[PointDraft]) -> float | None:
    trip = points[0].trip
    return None if trip is None else trip.value
