"""The setpoint multiplier while starting: for a sharp resonance, where the clearance has room."""

from __future__ import annotations

from collections.abc import Iterator

from specapp.domain.proposal import Check, Measure, Multiplier, OpenPoint
from specapp.rulebook.context import Assign, Context, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.setpoints_radial import NOISE, UM_PER_MM, Groups, groups_by_trip
from specapp.rulebook.trace import Why

Item = Assign | Check | OpenPoint


@rule(id="SET-MUL-010", title="Setpoint multiplier while starting", phase=Phase.SETPOINTS)
def start_multiplier(ctx: Context) -> Iterator[Item]:
    """Through a critical speed a sound machine exceeds its running trip for seconds."""
    for shaft, trip, groups in groups_by_trip(ctx):
        if shaft.kind == "pinion":
            yield from _multiplier(ctx, groups, ctx.units.displacement.canonical(trip))


def _multiplier(ctx: Context, groups: Groups, trip_um: float) -> Iterator[Item]:
    """Yield multiplier, check and open point of groups with one shaft and trip."""
    shaft = groups[0][1][0].shaft
    entered = shaft.told.setpoint_multiplier
    critical_rpm = shaft.told.first_critical_speed
    crosses = critical_rpm is not None and shaft.speed_rpm is not None and critical_rpm < shaft.speed_rpm
    if not crosses and (entered is None or entered <= 1):
        return
    why = ctx.why()
    why.fact(shaft.fact_path("setpoint_multiplier"), entered)
    why.fact(shaft.fact_path("first_critical_speed"), critical_rpm)
    share = why.criterion("radial.multiplied_trip_share")
    room_um = None
    if shaft.clearance_mm is not None:
        room_um = share * why.fact(shaft.fact_path("diametral_clearance"), shaft.clearance_mm) * UM_PER_MM
    factor = entered if entered is not None else _proposed_factor(shaft, why, trip_um, room_um)
    if crosses:
        yield _critical_open_point(shaft, why, factor, trip_um, room_um)
        why = ctx.why()
    if factor > 1:
        why.fact(shaft.fact_path("setpoint_multiplier"), entered)
        time_out_s = why.criterion("radial.multiplier_time_out")
        reason = why.say(
            f"Radial setpoints of {shaft.key} times {factor:g} while starting, for {time_out_s:g} s at most."
        )
        multiplier = Multiplier(factor, "start contact", Measure(time_out_s, "s"), (reason,))
        for group, points in groups:
            yield Assign(points, {"multiplier": multiplier}, reason)
            yield _multiplied_check(group, shaft, factor, trip_um, room_um, reason)


def _proposed_factor(shaft: Shaft, why: Why, trip_um: float, room_um: float | None) -> float:
    """Return the factor proposed without an entry: 2 where resonance is sharp and the clearance has room."""
    sharpness = why.fact(shaft.fact_path("amplification_factor"), shaft.told.amplification_factor)
    threshold = why.criterion("radial.multiplier_amplification")
    factor = why.criterion("radial.multiplier_factor")
    if sharpness is None or sharpness <= threshold or room_um is None:
        return 1.0
    return factor if factor * trip_um <= room_um + NOISE else 1.0


def _critical_open_point(
    shaft: Shaft, why: Why, factor: float, trip_um: float, room_um: float | None
) -> OpenPoint:
    start = (
        f"{shaft.key} passes a critical speed at {shaft.told.first_critical_speed:.6g} r/min while starting: "
    )
    if factor > 1:
        text = start + f"a setpoint multiplier of {factor:g} is proposed; the maker confirms the run-up."
    elif room_um is None:
        text = start + "without the bearing clearance no multiplier can be sized."
    else:
        text = start + f"no multiplier is proposed; the largest factor that fits is {room_um / trip_um:.2f}."
    missing = shaft.fact_path("amplification_factor")
    if room_um is None:
        missing = shaft.fact_path("journal_diameter")
    elif shaft.told.amplification_factor is not None:
        missing = shaft.fact_path("setpoint_multiplier")
    return OpenPoint(f"multiplier/{shaft.key}", missing, text, "maker", (why.say(text),))


def _multiplied_check(
    group: str, shaft: Shaft, factor: float, trip_um: float, room_um: float | None, reason: int
) -> Check:
    name = "setpoint.multiplied_trip"
    multiplied_um = factor * trip_um
    if room_um is None:
        needs = shaft.fact_path("journal_diameter")
        text = f"Multiplied trip {multiplied_um:.1f} um p-p: no bearing clearance to hold it against."
        measured = Measure(multiplied_um, "um")
        return Check(name, group, "not_evaluated", measured, None, text, (), needs, (reason,))
    passes = multiplied_um <= room_um + NOISE
    text = f"Multiplied trip {multiplied_um:.1f} um p-p against {room_um:.1f} um of the clearance."
    remedies = () if passes else (f"A factor of at most {room_um / trip_um:.2f}.",)
    return Check(
        name,
        group,
        "pass" if passes else "fail",
        Measure(multiplied_um, "um"),
        Measure(room_um, "um"),
        text,
        remedies,
        None,
        (reason,),
    )
