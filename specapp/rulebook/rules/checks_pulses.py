"""Checks of the pulses that phase probes and overspeed sensors hand on."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

from specapp.domain.proposal import Check, Measure
from specapp.kernel.probes import pulse_height_v
from specapp.kernel.speeds import overspeed_events_per_turn, pulse_rate_hz, pulse_width_us
from specapp.rulebook.check_answers import NOISE, Answer, answer, not_evaluated
from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.rules.installation import least_notch_width_mm
from specapp.rulebook.rules.transducers import target_mm
from specapp.rulebook.trace import Why


def _hz(value: float) -> Measure:
    return Measure(value, "Hz")


def _overspeed_groups(ctx: Context) -> Iterator[tuple[str, PointDraft]]:
    for name, group in ctx.groups.items():
        if group[0].quantity == "overspeed":
            yield name, group[0]


def _events(ctx: Context, why: Why) -> int | None:
    """Return the events a turn as told."""
    notch = ctx.machine.installation.notch
    told = None if notch is None else notch.events_per_turn
    return why.fact("installation.notch.events_per_turn", told)


@rule(id="CHK-PLS-010", title="Pulse rate of phase and overspeed inputs", phase=Phase.CHECKS)
def pulse_rate(ctx: Context) -> Iterator[Check]:
    """An input that misses pulses shows a machine running slower than it is.

    The wheel of a speed indication on a motor is not part of the description, so its rate is left out.
    """
    for point in ctx.of_quantity("phase_reference"):
        if point.shaft.speed_rpm is not None:
            why = ctx.why()
            # One event a turn is what makes a phase reference.
            events = _events(ctx, why) or 1
            yield _rate(ctx, why, point, events).on(point.key)
    for name, point in _overspeed_groups(ctx):
        if point.shaft.speed_rpm is not None:
            why = ctx.why()
            least_hz = why.criterion("overspeed.input_minimum")
            events = max(_events(ctx, why) or 1, overspeed_events_per_turn(point.shaft.speed_rpm, least_hz))
            yield _rate(ctx, why, point, events).on(name)


def _rate(ctx: Context, why: Why, point: PointDraft, events: int) -> Answer:
    speed_rpm = why.fact(point.shaft.fact_path("speed"), point.shaft.speed_rpm or 0)
    told_hz = why.fact("installation.pulse_input_limit", ctx.machine.installation.pulse_input_limit)
    limit_hz = why.criterion("pulse.input_limit") if told_hz is None else told_hz
    rate_hz = pulse_rate_hz(speed_rpm, events)
    whose = "a usual input counts to" if told_hz is None else "this input counts to"
    text = f"{events} event{'s' if events > 1 else ''} a turn, {rate_hz:.4g} Hz; {whose} {limit_hz:g} Hz."
    passes = rate_hz <= limit_hz + NOISE
    remedies = () if passes else ("Fewer events a turn, or an input that counts faster.",)
    result = "pass" if passes else "fail"
    return answer(why, "pulse.rate", result, text, _hz(rate_hz), _hz(limit_hz), remedies)


@rule(id="CHK-PLS-020", title="Width of the phase pulse", phase=Phase.CHECKS)
def pulse_width(ctx: Context) -> Iterator[Check]:
    """A narrow notch on a fast shaft passes before the input has seen it."""
    notch = ctx.machine.installation.notch
    for point in ctx.of_quantity("phase_reference"):
        shaft = point.shaft
        # A driver's diameter at the notch has no field in machine/1; its maker answers for the pulse.
        if shaft.kind == "driver" or shaft.speed_rpm is None:
            continue
        why = ctx.why()
        name, least_us = "pulse.width", why.criterion("pulse.width")
        limit = Measure(least_us, "us")
        width_mm = why.fact("installation.notch.width", None if notch is None else notch.width)
        diameter_mm = target_mm(shaft, why)
        if width_mm is None or diameter_mm is None:
            needs, what = "installation.notch.width", "Width of the notch"
            if width_mm is not None:
                needs, what = shaft.fact_path("journal_diameter"), "Shaft diameter at the notch"
            text = f"{what} not told; the pulse must last {least_us:g} us."
            yield not_evaluated(why, name, needs, text, limit).on(point.key)
            continue
        around_mm = pi * diameter_mm
        if width_mm >= around_mm:
            text = f"Notch of {width_mm:g} mm is wider than the {around_mm:.1f} mm around the shaft."
            remedies: tuple[str, ...] = ("Confirm the notch width and the shaft diameter.",)
            yield answer(why, name, "fail", text, None, limit, remedies).on(point.key)
            continue
        speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
        lasts_us = pulse_width_us(speed_rpm, diameter_mm, width_mm)
        passes = lasts_us >= least_us - NOISE
        text = (
            f"Notch of {width_mm:g} mm on {diameter_mm:g} mm lasts {lasts_us:.1f} us; {least_us:g} us wanted."
        )
        remedies = () if passes else (f"Notch of at least {width_mm * least_us / lasts_us:.1f} mm.",)
        result = "pass" if passes else "caution"
        yield answer(why, name, result, text, Measure(lasts_us, "us"), limit, remedies).on(point.key)


@rule(id="CHK-PLS-030", title="Height of the phase pulse", phase=Phase.CHECKS)
def pulse_height(ctx: Context) -> Iterator[Check]:
    """The trigger needs a pulse well above the runout of the track, or it fires on scratches."""
    points = ctx.of_quantity("phase_reference")
    if not points:
        return
    why = ctx.why()
    path, name = "installation.notch.depth", "pulse.height"
    notch = ctx.machine.installation.notch
    depth_mm = why.fact(path, None if notch is None else notch.depth)
    least_v = why.criterion("pulse.height")
    limit = Measure(least_v, "V")
    if depth_mm is None:
        text = f"Depth of the notch not told; the pulse must be {least_v:g} V high."
        found = not_evaluated(why, name, path, text, limit)
    else:
        v_per_mm = why.criterion("probe.scale_factor")
        height_v = pulse_height_v(depth_mm, v_per_mm)
        passes = height_v >= least_v - NOISE
        text = f"Notch {depth_mm:g} mm deep gives {height_v:.1f} V; {least_v:g} V for a safe trigger."
        remedies = () if passes else (f"Notch at least {least_v / v_per_mm:.2f} mm deep.",)
        result = "pass" if passes else "caution"
        found = answer(why, name, result, text, Measure(height_v, "V"), limit, remedies)
    for point in points:
        yield found.on(point.key)


@rule(id="CHK-PLS-040", title="Size of the phase notch", phase=Phase.CHECKS)
def notch_size(ctx: Context) -> Iterator[Check]:
    """A notch smaller than the field of the tip is only half seen; its length has no field in machine/1."""
    if not ctx.of_quantity("phase_reference"):
        return
    why = ctx.why()
    notch = ctx.machine.installation.notch
    depth_mm = why.fact("installation.notch.depth", None if notch is None else notch.depth)
    width_mm = why.fact("installation.notch.width", None if notch is None else notch.width)
    events = _events(ctx, why)
    least_depth_mm, least_width_mm = why.criterion("probe.notch_depth"), least_notch_width_mm(why)
    wanted = f"{least_depth_mm:g} mm deep, {least_width_mm:g} mm wide and {least_width_mm:g} mm long"
    name = "pulse.notch"
    shallow = depth_mm is not None and depth_mm < least_depth_mm - NOISE
    narrow = width_mm is not None and width_mm < least_width_mm - NOISE
    if events is not None and events > 1:
        text = f"{events} events a turn give speed, but no phase: a phase reference has one."
        remedies = ("A notch of its own, once a turn.",)
        found = answer(why, name, "caution", text, None, None, remedies)
    elif shallow or narrow:
        told_mm, least_mm = (depth_mm, least_depth_mm) if shallow else (width_mm, least_width_mm)
        size = f"{_size(depth_mm)} deep, {_size(width_mm)} wide"
        text = f"Notch {size}; wanted at least {wanted}."
        measured = None if told_mm is None else Measure(told_mm, "mm")
        remedies = (f"Notch {wanted}.",)
        found = answer(why, name, "caution", text, measured, Measure(least_mm, "mm"), remedies)
    elif depth_mm is None or width_mm is None:
        missing = "depth" if depth_mm is None else "width"
        text = f"Notch {missing} not told; wanted at least {wanted}."
        found = not_evaluated(why, name, f"installation.notch.{missing}", text)
    else:
        text = f"Notch {depth_mm:g} mm deep, {width_mm:g} mm wide; wanted at least {wanted}."
        found = answer(why, name, "pass", text, Measure(depth_mm, "mm"), Measure(least_depth_mm, "mm"))
    yield found.on("machine")


def _size(value_mm: float | None) -> str:
    return "not told" if value_mm is None else f"{value_mm:g} mm"


@rule(id="CHK-PLS-050", title="Events a turn for overspeed", phase=Phase.CHECKS)
def overspeed_events(ctx: Context) -> Iterator[Check]:
    """Few events a turn make the detection slow: a turbine without load gains speed within one turn."""
    for name, point in _overspeed_groups(ctx):
        shaft = point.shaft
        if shaft.speed_rpm is None:
            continue
        why = ctx.why()
        speed_rpm = why.fact(shaft.fact_path("speed"), shaft.speed_rpm)
        least_hz = why.criterion("overspeed.input_minimum")
        response_ms = why.criterion("overspeed.relay_response")
        told = _events(ctx, why)
        needed = overspeed_events_per_turn(speed_rpm, least_hz)
        # One event a turn is the least a shaft can give, so it needs no telling.
        events = 1 if told is None and needed == 1 else told
        check = "overspeed.events"
        wanted = f"at least {needed} event{'s' if needed > 1 else ''} a turn for {least_hz:g} Hz"
        relay = f"relays within {response_ms:g} ms"
        if events is None:
            text = f"Events a turn not told: {wanted}, {relay}."
            found = not_evaluated(why, check, "installation.notch.events_per_turn", text, _hz(least_hz))
        else:
            rate_hz = pulse_rate_hz(speed_rpm, events)
            passes = events >= needed
            text = f"{events} a turn, {rate_hz:.4g} Hz: {wanted}, {relay}."
            remedies = () if passes else (f"A wheel of its own with at least {needed} events a turn.",)
            result = "pass" if passes else "caution"
            found = answer(why, check, result, text, _hz(rate_hz), _hz(least_hz), remedies)
        yield found.on(name)
