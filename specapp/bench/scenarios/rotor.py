"""Events of the rotor: the start through a critical speed, whirl, a rub, and sampling that misses them."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from specapp.bench.closed_forms import largest_missed_peak
from specapp.bench.excitation import Excitation
from specapp.bench.functions import Function
from specapp.bench.ground import LEAD_S, Ground, peak_to_peak
from specapp.bench.scenario import (
    Case,
    Scenario,
    disturbed,
    excitation,
    expected_act,
    growing,
    step_size,
    tail_s,
)
from specapp.bench.scenarios.rises import level_signal, unit_of

__all__ = ["RUB", "SAMPLING", "START", "WHIRL", "unbalance_response"]

_RADIAL = frozenset({"radial_vibration"})
_GROWN = 1.3
_SWEEP_FROM, _SWEEP_TO = 0.55, 1.35
_BAND_SHARE = 2.56  # sampling rate over the top of the band
_LIKELY_AMPLIFICATION = 2.5


def unbalance_response(ratio: NDArray[np.float64], amplification: float) -> NDArray[np.float64]:
    """Return the response to unbalance at speeds over the critical one, in units of the eccentricity.

    Notes
    -----
    r^2/sqrt((1-r^2)^2 + (r/AF)^2) of the single-mass rotor, AF the amplification at r = 1.

    Source: textbook rotor dynamics (common practice).
    """
    square = ratio * ratio
    return np.asarray(square / np.hypot(1 - square, ratio / amplification))


def _start(ground: Ground) -> Iterator[Case]:
    function, settings = ground.function, ground.settings
    assert function.critical_hz is not None
    critical, full = function.critical_hz, ground.speed_hz
    amplification = function.amplification or _LIKELY_AMPLIFICATION
    per_s = full / settings.run_up_s
    sweep_s = (_SWEEP_TO - _SWEEP_FROM) * critical / per_s
    seconds = LEAD_S + sweep_s + 0.3
    count = ground.count(seconds)
    edges = np.arange(0, count + ground.block, ground.block) / ground.rate_hz
    speeds = np.minimum(_SWEEP_FROM * critical + per_s * np.clip(edges - LEAD_S, 0, sweep_s), full)
    turned = np.concatenate(([0.0], np.cumsum(speeds[:-1] * np.diff(edges))))
    response = unbalance_response(speeds / critical, amplification)
    clock = np.arange(count) / ground.rate_hz
    angle = 2 * np.pi * np.interp(clock, edges, turned)
    wave = np.stack([np.cos(angle - leg * np.pi / 2) for leg in range(ground.legs)]).astype(np.float32)
    share = np.interp(clock, edges, response / amplification).astype(np.float32)
    runout = peak_to_peak(ground.runout_turn[0])
    rest = ground.resting(seconds)[:, :count] + np.float32(runout / 2) * wave

    def build(size: float) -> Excitation:
        signal = rest + np.float32(max(size - runout, 0.0) / 2) * share * wave
        return excitation(ground, signal, armed_until_s=seconds)

    at_full = float(unbalance_response(np.array(full / critical), amplification))
    nominal = runout + max(function.normal - runout, 0.0) * amplification / at_full
    known = f"amplification factor {amplification:g}"
    if function.amplification is None:
        known += ", assumed"
    yield Case(
        "run-up",
        "quiet",
        nominal,
        "um p-p",
        f"passing the critical speed ({known}) with a peak of",
        build,
        ("multiplier", "delay"),
        bounds="high",
    )


def _start_needs(ground: Ground) -> str | None:
    function = ground.function
    return function.critical_field if function.critical_hz is None else None


def _may_pass_a_critical(function: Function) -> bool:
    """Tell whether the shaft passes a critical speed, or might: a description has that of pinions only."""
    if function.critical_hz is None:
        return function.critical_field.startswith("pinions")
    return function.speed_hz is None or function.critical_hz <= function.speed_hz


START = Scenario(
    "start_through_critical",
    "Start through a critical speed",
    "The rotor runs up through its critical speed with the unbalance it has at full speed, the "
    "multiplier armed where one is "
    "proposed: neither alarm nor trip. The response is that of a single mass with the amplification "
    "factor told.",
    _RADIAL,
    _start,
    _start_needs,
    concerns=_may_pass_a_critical,
)


def _whirl(ground: Ground) -> Iterator[Case]:
    function = ground.function
    nominal = _GROWN * function.level
    seconds = LEAD_S + 0.5 + tail_s(ground)

    def build(size: float) -> Excitation:
        still = ground.still(seconds)
        count = still.shape[1]
        whirl = ground.rotor(ground.settings.whirl_order * ground.speed_hz, count)
        amplitude = np.float32(max(size - function.normal, 0.0) / 2)
        return excitation(ground, still + amplitude * whirl * growing(ground, count, LEAD_S, 0.5))

    yield Case(
        "whirl",
        expected_act(function),
        nominal,
        "um p-p",
        f"whirl at {ground.settings.whirl_order:g} X grows until the whole is",
        build,
        ("detector_window", "voting"),
    )


WHIRL = Scenario(
    "whirl",
    "Whirl below running speed",
    "Oil whirl sets in at 0.43 of the speed and grows in half a second until the whole vibration is 30 "
    "percent "
    "above trip: the overall reading must trip, although the 1X has not changed.",
    _RADIAL,
    _whirl,
)


def _rub(ground: Ground) -> Iterator[Case]:
    function = ground.function
    # Two turns: a half order, and the wave cut off where the shaft meets the seal.
    wave = ground.turn(((2, 1.0, 0.0), (1, 0.35, 0.4)), turns=2)
    cut = np.minimum(wave, np.float32(0.55))
    cut -= cut.mean(axis=1, keepdims=True)
    nominal = _GROWN * function.level
    seconds = LEAD_S + 0.2 + tail_s(ground)

    def build(size: float) -> Excitation:
        grown = step_size(ground, cut, size)
        signal = disturbed(ground, cut, grown, seconds, 0.2)
        signal += np.float32(20.0) * growing(ground, signal.shape[1], LEAD_S, 0.2)
        return excitation(ground, signal)

    yield Case(
        "rub",
        expected_act(function),
        nominal,
        "um p-p",
        "rub with a half order and a wave cut off on one side grows to",
        build,
        ("spike_rejection", "spike_ratio", "voting"),
    )


RUB = Scenario(
    "rub",
    "Rub",
    "The shaft touches a seal: a half order, a wave cut off on one side and a shifted mean, 30 percent "
    "above trip. The "
    "rejection of one-sided spikes must not take it for one.",
    _RADIAL,
    _rub,
)


def _sampling(ground: Ground) -> Iterator[Case]:
    function, settings = ground.function, ground.settings
    rate = settings.sample_rate_hz
    assert rate is not None
    seconds = LEAD_S + tail_s(ground)
    if function.quantity == "casing_vibration":
        yield from _aliasing(ground, rate, seconds)
        return
    nominal = 1.05 * function.level
    per_turn = rate / ground.speed_hz
    missed = f", {100 * largest_missed_peak(per_turn):.2g} % of a peak may be missed" if per_turn >= 2 else ""

    # The worst: the samples of every turn fall on the same places, and the peaks between two of them.
    standing = max(2, round(per_turn)) * ground.speed_hz
    shift = round(ground.rate_hz / standing / 2)

    def build(size: float) -> Excitation:
        signal = level_signal(ground, size, 0.0, seconds)
        return excitation(ground, signal[:, shift:], sample_rate_hz=standing)

    yield Case(
        "missed peaks",
        expected_act(function),
        nominal,
        unit_of(ground),
        f"sampled {per_turn:.3g} times a turn{missed}: step to",
        build,
        ("sample_rate",),
    )


def _aliasing(ground: Ground, rate: float, seconds: float) -> Iterator[Case]:
    """Yield the worst mesh: one so near a multiple of the sampling rate that it folds into the band."""
    mesh = ground.function.mesh_hz or 0.0
    folded_hz = 0.3 * ground.settings.casing_high_hz
    multiple = max(1, round(mesh / rate)) if mesh else 1
    foul_hz = multiple * rate + folded_hz
    passed = 1.0
    if ground.settings.anti_alias:
        passed = 1 / (1 + (foul_hz * _BAND_SHARE / rate) ** 2) ** 2

    def build(size: float) -> Excitation:
        still = ground.still(seconds)
        count = still.shape[1]
        # What the sampler makes of the order is put in its place, at the height that the filter leaves of it.
        foul = np.float32(size * passed) * np.sin(2 * np.pi * folded_hz * ground.times(count))
        return excitation(ground, still + foul.astype(np.float32), sample_rate_hz=rate)

    yield Case(
        "aliasing",
        "quiet",
        5.0,
        "m/s2 peak",
        f"an order of the mesh at {foul_hz:.0f} Hz folds to {folded_hz:.0f} Hz, with",
        build,
        ("anti_alias", "sample_rate"),
        bounds="high",
    )


def _sampling_needs(ground: Ground) -> str | None:
    return None if ground.settings.sample_rate_hz is not None else "installation.sample_rate"


SAMPLING = Scenario(
    "slow_sampling",
    "Sampling too slow",
    "A level 5 percent above trip, sampled at the device's own rate: peaks between two samples are "
    "missed. On "
    "casings a high order just above the sampling rate folds into the band of the velocity reading; four "
    "poles before the sampler are taken to be there unless told otherwise.",
    frozenset({"radial_vibration", "casing_vibration"}),
    _sampling,
    _sampling_needs,
)
