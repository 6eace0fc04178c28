"""What a scenario is, and the parts that scenarios are made of."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from specapp.bench.excitation import Excitation, Forced
from specapp.bench.filters import Signal
from specapp.bench.functions import Function
from specapp.bench.ground import LEAD_S, Ground, peak_to_peak
from specapp.bench.result import Expected

__all__ = [
    "Case",
    "Scenario",
    "disturbed",
    "excitation",
    "expected_act",
    "growing",
    "response_s",
    "step_size",
    "tail_s",
]


Bounds = Literal["low", "high", "both"]


@dataclass(frozen=True, slots=True)
class Case:
    """One thing that happens to a function.

    `build` makes what reaches the transducers when the disturbance, called `disturbance`, is of a given size
    in `unit`;
    `nominal` is the size that is judged. `bounds` says on which side of it another size could turn the
    verdict; sizes from `least` to `most` times the nominal one are tried.
    """

    name: str
    expected: Expected
    nominal: float
    unit: str
    disturbance: str
    build: Callable[[float], Excitation]
    mends: tuple[str, ...] = ()
    allowed_s: float | None = None
    bounds: Bounds = "low"
    least: float = 1 / 16
    most: float = 16.0


@dataclass(frozen=True, slots=True)
class Scenario:
    """A kind of event: which functions it concerns, what it needs to know, its cases.

    `needs` returns the input without which it cannot be tried, or None.
    """

    key: str
    title: str
    text: str
    quantities: frozenset[str]
    cases: Callable[[Ground], Iterable[Case]]
    needs: Callable[[Ground], str | None] = lambda _: None
    concerns: Callable[[Function], bool] = lambda _: True

    def applies(self, function: Function) -> bool:
        return function.quantity in self.quantities and self.concerns(function)


def tail_s(ground: Ground) -> float:
    """Return how long to go on after a disturbance stands: the delay, the detector, a second to spare."""
    looks_back = max(ground.settings.detector_window_s, ground.settings.rms_window_s)
    transmitter = 0.0
    if ground.function.chain == "transmitter":
        transmitter = 5 * ground.settings.transmitter_damping_s + 2 * ground.settings.controller_scan_s
    return ground.function.delay_s + looks_back + transmitter + 0.4


def expected_act(function: Function) -> Expected:
    """Return what a function should do of a true event: trip, or alarm where it has no trip."""
    return "trip" if function.trip is not None else "alarm"


def response_s(ground: Ground) -> float:
    """Return within which time a plain step must act: delay, detector and the response allowed."""
    settings, function = ground.settings, ground.function
    window = 0.0
    if function.quantity == "radial_vibration":
        window = settings.detector_window_s
    elif function.quantity == "casing_vibration":
        window = settings.rms_window_s
    elif function.quantity == "axial_position":
        window = 5 / (2 * np.pi * settings.axial_band_hz)
    if function.chain == "transmitter":
        window += 3 * settings.transmitter_damping_s + 2 * settings.controller_scan_s
    return float(function.delay_s + window + settings.response_allowance_s)


def growing(ground: Ground, count: int, begin_s: float, rise_s: float) -> Signal:
    """Return an envelope from 0 to 1, a straight rise from `begin_s` over `rise_s`, shape (count,)."""
    places = np.arange(0, count, ground.block) / ground.rate_hz
    steps = np.clip((places - begin_s) / max(rise_s, 1e-9), 0, 1).astype(np.float32)
    return np.repeat(steps, ground.block)[:count]


def step_size(ground: Ground, shape: Signal, target_pp_um: float) -> float:
    """Return the factor on `shape` (whole turns) with which the disturbed turn has a peak to peak.

    0 where the undisturbed signal has it already.
    """
    turns = shape.shape[1] // ground.still_turn.shape[1]
    base = np.tile(ground.still_turn[0], turns)
    # What is not locked to the turn comes on top of it.
    free = 0.0
    if ground.function.bull_gear_hz:
        free = 0.05 * ground.function.normal
    target = target_pp_um - free
    low, high = 0.0, target_pp_um
    if peak_to_peak(base) >= target:
        return 0.0
    for _ in range(26):
        middle = (low + high) / 2
        if peak_to_peak(base + middle * shape[0]) < target:
            low = middle
        else:
            high = middle
    return high


def excitation(
    ground: Ground,
    signal: Signal,
    *,
    volts: Signal | None = None,
    forced: tuple[Forced, ...] = (),
    armed_until_s: float = 0.0,
    scale_ratio: float = 1.0,
    gap_offset_mm: float = 0.0,
    sample_rate_hz: float | None = None,
) -> Excitation:
    """Return an excitation on the ground's clock, its disturbance beginning after the lead."""
    return Excitation(
        ground.rate_hz,
        ground.block,
        LEAD_S,
        signal,
        volts,
        forced,
        armed_until_s,
        scale_ratio,
        gap_offset_mm,
        sample_rate_hz,
    )


def disturbed(ground: Ground, shape: Signal, size: float, seconds: float, rise_s: float) -> Signal:
    """Return the undisturbed signal with a shape of whole turns grown in after the lead."""
    still = ground.still(seconds)
    count = still.shape[1]
    return still + np.float32(size) * ground.laid_out(shape, count) * growing(ground, count, LEAD_S, rise_s)
