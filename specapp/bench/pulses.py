"""How many pulses of a phase reference an input counts."""

from __future__ import annotations

import numpy as np

from specapp.bench.chain import gap_volts
from specapp.bench.excitation import Excitation
from specapp.bench.filters import Signal, low_pass
from specapp.bench.settings import DeviceSettings

__all__ = ["counted_pulses", "pulse_volts"]


def pulse_volts(settings: DeviceSettings, excitation: Excitation) -> Signal:
    """Return the voltage at the input [V], shape (1, n): curve, cable."""
    volts = gap_volts(excitation.signal, settings)
    if settings.cable_bandwidth_hz is not None:
        volts = low_pass(volts, settings.cable_bandwidth_hz, excitation.rate_hz)
    return volts


def counted_pulses(settings: DeviceSettings, excitation: Excitation) -> tuple[int, int]:
    """Return the pulses an input counts, and those that passed.

    A pulse counts when it reaches the height of a safe trigger and stays above half of it for the shortest
    time that the input sees.
    """
    depth = settings.gap_set_v - pulse_volts(settings, excitation)[0]
    passed = _runs(excitation.signal[0] > 0)
    high = depth > settings.pulse_height_v / 2
    shortest = settings.pulse_width_us * 1e-6 * excitation.rate_hz
    counted = 0
    for first, last in _runs(high):
        if last - first >= shortest and float(depth[first:last].max()) >= settings.pulse_height_v:
            counted += 1
    return counted, len(passed)


def _runs(holds: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> list[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], holds, [False])).astype(np.int8)))
    return [(int(first), int(last)) for first, last in edges.reshape(-1, 2)]
