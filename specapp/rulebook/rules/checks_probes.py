"""Checks of how the probes are installed: metal beside the tip, tips beside each other, track, range."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from specapp.domain.proposal import Check, Measure
from specapp.kernel.probes import axial_offset_mm, pair_tip_spacing_mm, radial_excursion_mm
from specapp.rulebook.check_answers import NOISE, Answer, answer, not_evaluated
from specapp.rulebook.context import Context, PointDraft, Shaft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.transducers import (
    SYSTEM_5_M,
    SYSTEM_9_M,
    TIP_5_MM,
    TIP_8_MM,
    TIP_SPACING,
    radial_groups,
    target_mm,
    tip_spacing_mm,
)
from specapp.rulebook.trace import Why

_UM_PER_MM = 1000.0
_PP_PER_PEAK = 2.0

# Criteria of a tip: the diameter that passes, and the one below which it fails.
_SHAFT_DIAMETER = {
    TIP_8_MM: ("probe.shaft_8mm_pass", "probe.shaft_8mm_fail"),
    TIP_5_MM: ("probe.shaft_5mm_pass", "probe.shaft_5mm_fail"),
}

GroupAnswer = Callable[[Context, Shaft, list[PointDraft], float], Answer | None]


def _mm(value: float) -> Measure:
    return Measure(value, "mm")


def _tip_mm(point: PointDraft) -> float | None:
    """Return the tip of a point's probe, None where it has none."""
    transducer = point.transducer
    return None if transducer is None or transducer.tip is None else transducer.tip.value


def _each_group(ctx: Context, evaluate: GroupAnswer) -> Iterator[Check]:
    """Yield a check for each radial group; groups of one shaft, size and tip share the answer."""
    made: dict[tuple[str, int, float], Answer | None] = {}
    for shaft, group in radial_groups(ctx):
        tip_mm = _tip_mm(group[0])
        if tip_mm is None:
            continue
        place = (shaft.key, len(group), tip_mm)
        if place not in made:
            made[place] = evaluate(ctx, shaft, group, tip_mm)
        found = made[place]
        if found is not None:
            yield found.on(group[0].group)


# A driver's journals and a bull gear's tracks are no part of the description (machine/1 has no field for
# them), so those checks are left to their makers instead of standing there unevaluated for ever.


@rule(id="CHK-PRB-010", title="Metal beside the tip", phase=Phase.CHECKS)
def side_clearance(ctx: Context) -> Iterator[Check]:
    """Metal beside the tip takes part of the field and changes the scale factor."""
    yield from _each_group(ctx, _side_clearance)


def _side_clearance(ctx: Context, shaft: Shaft, group: list[PointDraft], tip_mm: float) -> Answer | None:
    if shaft.kind != "pinion":
        return None
    why = ctx.why()
    path = shaft.fact_path("probe_side_clearance")
    told_mm = why.fact(path, shaft.told.probe_side_clearance)
    why.fact(f"{shaft.key}.tip", tip_mm)
    pass_share, fail_share = (
        why.criterion("probe.side_clearance_pass"),
        why.criterion("probe.side_clearance_fail"),
    )
    pass_mm, fail_mm = pass_share * tip_mm, fail_share * tip_mm
    name = "probe.side_clearance"
    if told_mm is None:
        text = f"Metal-free distance beside the {tip_mm:g} mm tip not told; {pass_mm:g} mm is needed."
        return not_evaluated(why, name, path, text, _mm(pass_mm))
    text = f"{told_mm:g} mm free of metal beside the {tip_mm:g} mm tip"
    if told_mm >= pass_mm - NOISE:
        return answer(why, name, "pass", f"{text}, at least {pass_mm:g} mm.", _mm(told_mm), _mm(pass_mm))
    remedies = [
        f"Counterbore to {pass_mm:g} mm beside the tip.",
        "Probe with a narrow field.",
        "Calibrate in place.",
    ]
    if tip_mm == TIP_8_MM:
        fits = "clears" if told_mm >= pass_share * TIP_5_MM - NOISE else "needs more, too:"
        remedies.insert(0, f"5 mm tip: {fits} {pass_share * TIP_5_MM:g} mm.")
    fails = told_mm < fail_mm - NOISE
    limit_mm = fail_mm if fails else pass_mm
    result, text = ("fail" if fails else "caution"), f"{text}, under {limit_mm:g} mm."
    return answer(why, name, result, text, _mm(told_mm), _mm(limit_mm), tuple(remedies))


@rule(id="CHK-PRB-020", title="Spacing of the tips of a pair", phase=Phase.CHECKS)
def tip_spacing(ctx: Context) -> Iterator[Check]:
    """Fields of two tips that overlap beat against each other and show vibration with the shaft at rest."""
    yield from _each_group(ctx, _tip_spacing)


def _tip_spacing(ctx: Context, shaft: Shaft, group: list[PointDraft], tip_mm: float) -> Answer | None:
    if len(group) < 2 or shaft.kind == "driver":
        return None
    why = ctx.why()
    name = "probe.tip_spacing"
    least_mm = why.criterion(TIP_SPACING[tip_mm])
    spacing_mm = tip_spacing_mm(shaft, why)
    if spacing_mm is None:
        text = f"Diameter at the probes not told; {tip_mm:g} mm tips need {least_mm:g} mm between them."
        return not_evaluated(why, name, shaft.fact_path("journal_diameter"), text, _mm(least_mm))
    doubt, doubt_remedies = _doubted_spacing(shaft, spacing_mm, why)
    if spacing_mm >= least_mm - NOISE:
        text = f"Tips {spacing_mm:.1f} mm apart; {tip_mm:g} mm tips need {least_mm:g} mm.{doubt}"
        result = "caution" if doubt else "pass"
        return answer(why, name, result, text, _mm(spacing_mm), _mm(least_mm), doubt_remedies)
    text = (
        f"Tips {spacing_mm:.1f} mm apart, {tip_mm:g} mm tips need {least_mm:g} mm: cross-talk, seen as "
        f"vibration with the shaft at rest.{doubt}"
    )
    remedies = [
        f"Shift one probe {axial_offset_mm(spacing_mm, least_mm):.1f} mm along the shaft.",
        "Y and X in different oscillator frequency groups, where the chosen system allows.",
        *doubt_remedies,
    ]
    least_5_mm = why.criterion(TIP_SPACING[TIP_5_MM])
    if tip_mm == TIP_8_MM and spacing_mm >= least_5_mm - NOISE:
        remedies.insert(0, f"5 mm tips, which need {least_5_mm:g} mm.")
    return answer(why, name, "caution", text, _mm(spacing_mm), _mm(least_mm), tuple(remedies))


def _doubted_spacing(shaft: Shaft, spacing_mm: float, why: Why) -> tuple[str, tuple[str, ...]]:
    """Return a sentence and a remedy where a told spacing does not fit the told diameter."""
    if getattr(shaft.told, "probe_tip_spacing", None) is None:
        return "", ()
    diameter_mm = target_mm(shaft, why)
    tolerance_mm = why.criterion("probe.tip_spacing_tolerance")
    if diameter_mm is None:
        return "", ()
    geometric_mm = pair_tip_spacing_mm(diameter_mm, why.criterion("probe.mid_gap"))
    if abs(spacing_mm - geometric_mm) <= tolerance_mm + NOISE:
        return "", ()
    return (
        f" A pair on {diameter_mm:g} mm stands {geometric_mm:.1f} mm apart: spacing or diameter is in doubt.",
        ("Confirm the tip spacing and the diameter at the probes.",),
    )


@rule(id="CHK-PRB-030", title="Shaft diameter for the tip", phase=Phase.CHECKS)
def shaft_diameter(ctx: Context) -> Iterator[Check]:
    """A tip calibrated on a flat plate reads a small shaft wrong; phase probes only count, so they may."""
    yield from _each_group(ctx, _shaft_diameter)


def _shaft_diameter(ctx: Context, shaft: Shaft, group: list[PointDraft], tip_mm: float) -> Answer | None:
    if shaft.kind == "driver":
        return None
    why = ctx.why()
    name = "probe.shaft_diameter"
    diameter_mm = target_mm(shaft, why)
    pass_mm, fail_mm = (why.criterion(key) for key in _SHAFT_DIAMETER[tip_mm])
    if diameter_mm is None:
        text = f"Diameter at the probes not told; the {tip_mm:g} mm tip needs {pass_mm:g} mm."
        return not_evaluated(why, name, shaft.fact_path("journal_diameter"), text, _mm(pass_mm))
    measured, wanted = _mm(diameter_mm), f"the {tip_mm:g} mm tip needs {pass_mm:g} mm"
    if diameter_mm >= pass_mm - NOISE:
        return answer(why, name, "pass", f"{diameter_mm:g} mm; {wanted}.", measured, _mm(pass_mm))
    calibrate = "Calibrate to the real target diameter."
    if diameter_mm < fail_mm - NOISE:
        text = f"{diameter_mm:g} mm, under the {fail_mm:g} mm that the {tip_mm:g} mm tip can read."
        remedies: tuple[str, ...] = (f"A collar of at least {pass_mm:g} mm as target.", calibrate)
        return answer(why, name, "fail", text, measured, _mm(fail_mm), remedies)
    text, remedies = f"{diameter_mm:g} mm; {wanted}.", (calibrate,)
    if tip_mm == TIP_8_MM:
        smaller, passes = _smaller_tip(shaft, group, diameter_mm, why)
        text = f"{text} {smaller}"
        remedies = ("5 mm tip.", calibrate) if passes else remedies
    return answer(why, name, "caution", text, measured, _mm(pass_mm), remedies)


def _smaller_tip(shaft: Shaft, group: list[PointDraft], diameter_mm: float, why: Why) -> tuple[str, bool]:
    """Return whether a 5 mm tip would pass here, in words and as a fact."""
    needed_mm = why.criterion("probe.shaft_5mm_pass")
    if diameter_mm < needed_mm - NOISE:
        return f"A 5 mm tip would not pass either: it needs {needed_mm:g} mm.", False
    spacing_mm = tip_spacing_mm(shaft, why) if len(group) > 1 else None
    least_mm = why.criterion(TIP_SPACING[TIP_5_MM])
    if spacing_mm is not None and spacing_mm < least_mm - NOISE:
        return f"A 5 mm tip would pass on the diameter, but not at {spacing_mm:.1f} mm between tips.", False
    return f"A 5 mm tip would pass: it needs {needed_mm:g} mm.", True


@rule(id="CHK-PRB-040", title="Width of the probe track", phase=Phase.CHECKS)
def track_width(ctx: Context) -> Iterator[Check]:
    """The shaft floats and grows; the tip must stay over ground, unplated metal all the way."""
    yield from _each_group(ctx, _track_width)


def _track_width(ctx: Context, shaft: Shaft, group: list[PointDraft], tip_mm: float) -> Answer | None:
    if shaft.kind != "pinion":
        return None
    why = ctx.why()
    path = shaft.fact_path("track_width")
    width_mm = why.fact(path, shaft.told.track_width)
    why.fact(f"{shaft.key}.tip", tip_mm)
    least_mm = why.criterion("probe.track_width") * tip_mm
    name = "probe.track_width"
    if width_mm is None:
        text = f"Width of the probe track not told; the {tip_mm:g} mm tip needs {least_mm:g} mm."
        return not_evaluated(why, name, path, text, _mm(least_mm))
    text = f"Probe track {width_mm:g} mm wide; the {tip_mm:g} mm tip needs {least_mm:g} mm."
    passes = width_mm >= least_mm - NOISE
    remedies = () if passes else (f"Grind the track to {least_mm:g} mm and keep edges out of it.",)
    result = "pass" if passes else "caution"
    return answer(why, name, result, text, _mm(width_mm), _mm(least_mm), remedies)


@rule(id="CHK-PRB-050", title="Radial range of the probe", phase=Phase.CHECKS)
def radial_linear_range(ctx: Context) -> Iterator[Check]:
    """Vibration rides on the shaft's lift through its clearance; both must stay on the straight line."""
    yield from _each_group(ctx, _radial_linear_range)


def _radial_linear_range(ctx: Context, shaft: Shaft, group: list[PointDraft], tip_mm: float) -> Answer | None:
    trip = group[0].trip
    if shaft.kind == "driver" or trip is None or trip.value is None:
        return None
    why = ctx.why()
    name = "probe.linear_range"
    limit_mm, margin_mm = why.criterion("probe.usable_from_mid_gap"), why.criterion("probe.linear_margin")
    trip_um = why.fact(f"{shaft.key}.radial_trip_um", ctx.units.displacement.canonical(trip.value))
    factor = why.fact(f"{shaft.key}.multiplier", group[0].multiplier.factor if group[0].multiplier else 1.0)
    clearance_mm = why.fact(shaft.fact_path("diametral_clearance"), shaft.clearance_mm)
    if clearance_mm is None:
        text = f"Bearing clearance of {shaft.key} not known; {limit_mm:g} mm from mid gap can be used."
        return not_evaluated(why, name, shaft.fact_path("journal_diameter"), text, _mm(limit_mm))
    reach_mm = radial_excursion_mm(trip_um, clearance_mm, factor, margin_mm)
    multiplied = "" if factor == 1 else f"{factor:g} times "
    text = (
        f"{reach_mm:.3f} mm from mid gap: half of {multiplied}the trip of {trip_um:.1f} um p-p, "
        f"{margin_mm:g} mm and the clearance of {clearance_mm:.3f} mm; {limit_mm:g} mm can be used."
    )
    if reach_mm <= limit_mm + NOISE:
        return answer(why, name, "pass", text, _mm(reach_mm), _mm(limit_mm))
    largest = (limit_mm - margin_mm - clearance_mm) * _PP_PER_PEAK * _UM_PER_MM / trip_um
    remedies = ["Transducer system with a longer linear range.", "Confirm the bearing clearance."]
    if factor > 1 and largest >= 1:
        remedies.insert(0, f"Setpoint multiplier of at most {largest:.2f}.")
    return answer(why, name, "fail", text, _mm(reach_mm), _mm(limit_mm), tuple(remedies))


@rule(id="CHK-PRB-060", title="Axial range of the probe", phase=Phase.CHECKS)
def axial_linear_range(ctx: Context) -> Iterator[Check]:
    """A probe that leaves its straight line before the trip never reads it."""
    for name, group in ctx.groups.items():
        if group[0].quantity != "axial_position":
            continue
        # A collar-held pinion has no trip until the maker gives one; its alarm is what must be readable.
        level, setpoint = ("trip", group[0].trip) if group[0].trip else ("alarm", group[0].alarm)
        if setpoint is None or setpoint.value is None:
            continue
        why = ctx.why()
        limit_mm = why.criterion("probe.usable_from_mid_gap")
        sides = [setpoint.value] if setpoint.low is None else [setpoint.value, setpoint.low]
        reach_mm = why.fact(f"{name}.{level}_mm", max(abs(ctx.units.axial.canonical(side)) for side in sides))
        passes = reach_mm <= limit_mm + NOISE
        text = f"Axial {level} {reach_mm:.3f} mm from mid gap; {limit_mm:g} mm can be used."
        remedies = () if passes else ("Transducer system with a longer linear range.",)
        result = "pass" if passes else "fail"
        yield answer(why, "probe.linear_range", result, text, _mm(reach_mm), _mm(limit_mm), remedies).on(name)


@rule(id="CHK-PRB-070", title="Temperature of probes and electronics", phase=Phase.CHECKS)
def temperature(ctx: Context) -> Iterator[Check]:
    """The box in the sun runs hotter than the air, and its electronics fail first."""
    if not any(_tip_mm(point) is not None for point in ctx.points.values()):
        return
    why = ctx.why()
    ambient = ctx.machine.ambient
    low_c = why.fact("ambient.minimum", ambient.minimum)
    high_c = why.fact("ambient.maximum", ambient.maximum)
    rise_k = why.criterion("probe.electronics_rise")
    coldest_c = max(why.criterion("probe.temperature_minimum"), why.criterion("probe.electronics_minimum"))
    hottest_c = why.criterion("probe.electronics_maximum")
    probe_c = why.criterion("probe.temperature_maximum")
    name, hot_limit, cold_limit = "probe.temperature", Measure(hottest_c, "degC"), Measure(coldest_c, "degC")
    if high_c is not None and high_c + rise_k > hottest_c + NOISE:
        text = (
            f"Electronics at {high_c + rise_k:g} degC in the sun, {rise_k:g} K above the air; they work to "
            f"{hottest_c:g} degC."
        )
        remedies: tuple[str, ...] = (
            f"Shade or ventilate the boxes: at most {hottest_c - high_c:g} K above the air.",
            "Move the boxes to a cooler place.",
        )
        found = answer(why, name, "fail", text, Measure(high_c + rise_k, "degC"), hot_limit, remedies)
    elif high_c is not None and high_c > probe_c + NOISE:
        text = f"Air to {high_c:g} degC; probes work to {probe_c:g} degC."
        remedies = (f"Probes of the version to {why.criterion('probe.temperature_extended'):g} degC.",)
        found = answer(why, name, "fail", text, Measure(high_c, "degC"), Measure(probe_c, "degC"), remedies)
    elif low_c is not None and low_c < coldest_c - NOISE:
        text = f"Air to {low_c:g} degC; probes and electronics work from {coldest_c:g} degC."
        remedies = ("Heated boxes, and probes for the low temperature.",)
        found = answer(why, name, "fail", text, Measure(low_c, "degC"), cold_limit, remedies)
    elif high_c is None or low_c is None:
        missing = "maximum" if high_c is None else "minimum"
        text = f"Ambient {missing} not told; electronics work from {coldest_c:g} to {hottest_c:g} degC."
        found = not_evaluated(
            why, name, f"ambient.{missing}", text, hot_limit if high_c is None else cold_limit
        )
    else:
        text = (
            f"Air {low_c:g} to {high_c:g} degC, electronics to {high_c + rise_k:g} degC in the sun; they "
            f"work from {coldest_c:g} to {hottest_c:g} degC, probes to {probe_c:g} degC."
        )
        found = answer(why, name, "pass", text, Measure(high_c + rise_k, "degC"), hot_limit)
    yield found.on("machine")


@rule(id="CHK-PRB-080", title="Length of the transducer system", phase=Phase.CHECKS)
def system_length(ctx: Context) -> Iterator[Check]:
    """Probe, extension cable and electronics are tuned as one length; nothing may be cut or spliced."""
    if not any(_tip_mm(point) is not None for point in ctx.points.values()):
        return
    why = ctx.why()
    path = "installation.probe_to_box"
    run_m = why.fact(path, ctx.machine.installation.probe_to_box)
    short_m, long_m = why.criterion("probe.system_5m_run"), why.criterion("probe.system_9m_run")
    name = "probe.system_length"
    if run_m is None:
        text = f"Run from probe to box not told; the {SYSTEM_5_M:g} m system reaches {short_m:g} m."
        yield not_evaluated(why, name, path, text, Measure(short_m, "m")).on("machine")
        return
    measured = Measure(run_m, "m")
    for system_m, reach_m in ((SYSTEM_5_M, short_m), (SYSTEM_9_M, long_m)):
        if run_m <= reach_m + NOISE:
            text = f"Run of {run_m:g} m from probe to box; the {system_m:g} m system reaches {reach_m:g} m."
            yield answer(why, name, "pass", text, measured, Measure(reach_m, "m")).on("machine")
            return
    text = (
        f"Run of {run_m:g} m from probe to box; the longest system, {SYSTEM_9_M:g} m, reaches {long_m:g} m."
    )
    remedies = (f"Boxes within {long_m:g} m of the probes, along the route.",)
    yield answer(why, name, "fail", text, measured, Measure(long_m, "m"), remedies).on("machine")
