"""Checks of what the shafts themselves are said to be: material, runout, speeds, clearance, split line."""

from __future__ import annotations

import re
from collections.abc import Iterator

from specapp.domain.proposal import Check, Measure
from specapp.kernel.shaft_vibration import runout_allowance_pp_um
from specapp.kernel.speeds import shaft_surface_speed_m_s
from specapp.rulebook.check_answers import NOISE, answer, not_evaluated
from specapp.rulebook.context import Context, Shaft
from specapp.rulebook.registry import Phase, rule

_PER_MILLE = 1000.0
_PERCENT = 100.0
# Steels for which transducer systems are calibrated at the works, by their four-digit numbers, also as
# the UNS writes them (G41400); a digit or point beside them makes another number (1.4340).
_CALIBRATED = re.compile(r"G(?:41(?:30|40|42|45)|4340)0(?!\d)|(?<![\d.])(?:41(?:30|40|42|45)|4340)(?!\d)")
_NOTED = "4340"
# A coat of another metal is what the probe sees, whatever is below it.
_COATED = re.compile(r"plat(?:ed|ing)|coat|spray|clad|metalli[sz]ed", re.IGNORECASE)
# Degrees from the top at which a horizontal split line meets the shaft's height on either side.
_SPLIT_LINE_DEG = (90.0, 270.0)


def _radial_shafts(ctx: Context) -> list[Shaft]:
    shafts = {point.shaft.key: point.shaft for point in ctx.of_quantity("radial_vibration")}
    return list(shafts.values())


@rule(
    id="CHK-SHF-010",
    title="Material of the probe track",
    phase=Phase.CHECKS,
    source="API 670",
    edition="2014",
    status="from memory",
)
def target_material(ctx: Context) -> Iterator[Check]:
    """The probe measures conductivity and permeability as much as distance; another alloy, another scale."""
    for shaft in _radial_shafts(ctx):
        if shaft.kind != "pinion":
            continue
        why = ctx.why()
        path, name = shaft.fact_path("shaft_material"), "probe.target_material"
        material = why.fact(path, shaft.told.shaft_material)
        if not material:
            text = f"Shaft material of {shaft.key} not told; systems are calibrated to 4140 steel."
            yield not_evaluated(why, name, path, text).on(shaft.key)
            continue
        steels = _CALIBRATED.findall(material)
        if steels and not _COATED.search(material):
            remedies: tuple[str, ...] = ()
            result, text = "pass", f"{material}: within the usual calibration."
            if any(_NOTED in steel for steel in steels):
                text = f"{material}: passes; a calibration to 4340 itself is more exact than that to 4140."
        else:
            result, text = "caution", f"{material}: not one of the steels that systems are calibrated to."
            if steels:
                text = f"{material}: the probe sees the coat, not the steel below."
            remedies = ("Calibrate the system to the very alloy of the track.",)
        yield answer(why, name, result, text, remedies=remedies).on(shaft.key)


@rule(id="CHK-SHF-020", title="Runout of the probe track", phase=Phase.CHECKS)
def runout(ctx: Context) -> Iterator[Check]:
    """Runout reads as vibration that no balancing removes; on fast pinions it eats the acceptance limit."""
    for shaft in _radial_shafts(ctx):
        if shaft.acceptance_um is None:
            continue
        why = ctx.why()
        limit_um = why.fact(f"{shaft.key}.acceptance_limit_um", shaft.acceptance_um)
        share, floor_um = why.criterion("probe.runout_share"), why.criterion("probe.runout_floor")
        allowed_um = runout_allowance_pp_um(limit_um, share, floor_um)
        warning_um = why.criterion("probe.runout_warning") * limit_um
        name, measured_um = "probe.runout", getattr(shaft.told, "measured_runout", None)
        allowed, warning = Measure(allowed_um, "um"), Measure(warning_um, "um")
        rule_text = f"{allowed_um:.2f} um allowed, {allowed_um / limit_um:.0%} of the {limit_um:.1f} um limit"
        if measured_um is not None:
            why.fact(shaft.fact_path("measured_runout"), measured_um)
            measured = Measure(measured_um, "um")
            text = f"Runout of {shaft.key} measured {measured_um:g} um p-p; {rule_text}."
            if measured_um > allowed_um + NOISE:
                remedies: tuple[str, ...] = ("Burnish, demagnetise or regrind the track.",)
                found = answer(why, name, "fail", text, measured, allowed, remedies)
            elif allowed_um <= warning_um + NOISE or measured_um <= warning_um + NOISE:
                found = answer(why, name, "pass", text, measured, allowed)
            else:
                remedies = (f"Agree a limit of {warning_um:.1f} um with the maker.",)
                found = answer(why, name, "caution", text, measured, warning, remedies)
        else:
            passes = allowed_um <= warning_um + NOISE
            text = f"Runout of {shaft.key}: {rule_text}."
            remedies = () if passes else (f"Agree a tighter limit with the maker: {warning_um:.1f} um.",)
            result = "pass" if passes else "caution"
            found = answer(why, name, result, text, allowed, warning, remedies)
        yield found.on(shaft.key)


@rule(id="CHK-SHF-030", title="Probes and the split line of the gear casing", phase=Phase.CHECKS)
def split_line(ctx: Context) -> Iterator[Check]:
    """A probe in the joint of the casing cannot be held, or leaks, or is in the way of the bolts.

    Once for the gear casing: a driver's probes stand at 45 degrees, clear of its joint.
    """
    points = [point for point in ctx.of_quantity("radial_vibration") if point.shaft.kind != "driver"]
    if not points:
        return
    why = ctx.why()
    told = why.fact("split_line", ctx.machine.split_line)
    why.fact("installation.probe_angles", ctx.machine.installation.probe_angles)
    level = [point for point in points if point.angle_deg in _SPLIT_LINE_DEG]
    name, subject = "probe.split_line", "BG"
    if not level:
        yield answer(why, name, "pass", "No radial probe stands at 90 or 270 deg.").on(subject)
    elif told == "unknown":
        text = f"Split line not told; {len(level)} probes stand at 90 or 270 deg."
        yield not_evaluated(why, name, "split_line", text).on(subject)
    elif told == "vertical":
        yield answer(why, name, "pass", "No horizontal split line for the level probes to meet.").on(subject)
    else:
        text = f"{len(level)} probes at 90 or 270 deg meet the horizontal split line."
        remedies = (
            "Probes at 45 deg either side of the top.",
            "Ask the maker for the boss beside the joint.",
        )
        yield answer(why, name, "caution", text, remedies=remedies).on(subject)


@rule(id="CHK-SHF-040", title="Driver and bull gear turn together", phase=Phase.CHECKS)
def coupling(ctx: Context) -> Iterator[Check]:
    """A motor coupled to the bull gear turns at its speed; anything else is a slip of the pen or a gear."""
    told = ctx.machine.driver
    bull_rpm = ctx.machine.bull_gear.speed
    if told is None or told.speed is None or bull_rpm is None:
        return
    if any(shaft.role == "input" for shaft in ctx.shafts.values()):
        return
    why = ctx.why()
    driver_rpm = why.fact("driver.speed", told.speed)
    why.fact("bull_gear.speed", bull_rpm)
    percent = why.criterion("speed.coupling_tolerance")
    apart_rpm, allowed_rpm = abs(driver_rpm - bull_rpm), bull_rpm * percent / _PERCENT
    passes = apart_rpm <= allowed_rpm + NOISE
    text = (
        f"Driver {driver_rpm:.6g} and bull gear {bull_rpm:.6g} r/min are "
        f"{apart_rpm / bull_rpm:.1%} apart; {percent:g} percent allowed without an input pinion."
    )
    remedies = () if passes else ("Correct a speed, or describe the input pinion or gear between them.",)
    measured, limit = Measure(apart_rpm, "rpm"), Measure(allowed_rpm, "rpm")
    result = "pass" if passes else "caution"
    yield answer(why, "speeds.coupling", result, text, measured, limit, remedies).on("machine")


@rule(id="CHK-SHF-050", title="Surface speed of the journals", phase=Phase.CHECKS)
def surface_speed(ctx: Context) -> Iterator[Check]:
    """No journal runs much faster than this, so a higher value is a mistyped diameter or speed."""
    for shaft in ctx.shafts.values():
        if shaft.journal_mm is None or shaft.speed_rpm is None:
            continue
        why = ctx.why()
        diameter_mm = why.fact(shaft.fact_path("journal_diameter"), shaft.journal_mm)
        speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
        limit_m_s = why.criterion("speed.surface_limit")
        surface_m_s = shaft_surface_speed_m_s(speed_rpm, diameter_mm)
        passes = surface_m_s <= limit_m_s + NOISE
        text = f"Journals of {shaft.key} run at {surface_m_s:.1f} m/s; up to {limit_m_s:g} m/s is usual."
        remedies = () if passes else ("Confirm the journal diameter and the speed.",)
        measured, limit = Measure(surface_m_s, "m/s"), Measure(limit_m_s, "m/s")
        result = "pass" if passes else "caution"
        yield answer(why, "speeds.surface", result, text, measured, limit, remedies).on(shaft.key)


@rule(id="CHK-SHF-060", title="Clearance for the journal", phase=Phase.CHECKS)
def clearance_per_mille(ctx: Context) -> Iterator[Check]:
    """Half or twice the usual clearance is most often a radial value taken for a diametral one."""
    for shaft in ctx.shafts.values():
        told_mm = getattr(shaft.told, "diametral_clearance", None)
        if told_mm is None or shaft.journal_mm is None:
            continue
        why = ctx.why()
        why.fact(shaft.fact_path("diametral_clearance"), told_mm)
        journal_mm = why.fact(shaft.fact_path("journal_diameter"), shaft.journal_mm)
        low = why.criterion("speed.clearance_low_per_mille")
        high = why.criterion("speed.clearance_high_per_mille")
        low_mm, high_mm = low * journal_mm / _PER_MILLE, high * journal_mm / _PER_MILLE
        share = f"{told_mm * _PER_MILLE / journal_mm:.2g} per mille of the {journal_mm:g} mm journal"
        text = f"Clearance of {shaft.key} {told_mm:g} mm, {share}; {low:g} to {high:g} per mille is usual."
        measured, below = Measure(told_mm, "mm"), told_mm < low_mm - NOISE
        limit = Measure(low_mm if below else high_mm, "mm")
        name = "clearance.per_mille"
        if not below and told_mm <= high_mm + NOISE:
            yield answer(why, name, "pass", text, measured, limit).on(shaft.key)
            continue
        question = "radial entered as diametral?" if below else "diametral value doubled?"
        remedies = ("Confirm that the clearance is the diametral one of these bearings.",)
        yield answer(why, name, "caution", f"{text} {question.capitalize()}", measured, limit, remedies).on(
            shaft.key
        )
