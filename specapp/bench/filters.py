"""Filters and moving extremes on whole arrays, the last axis being time.

A recursion sample by sample is slow in Python. A single pole is instead summed by doubling: after k steps
each value holds the 2**k newest terms of its exponential sum, and the sum ends where its terms vanish in
single precision.
"""

from __future__ import annotations

from math import ceil, exp, pi

import numpy as np
from numpy.typing import NDArray

__all__ = ["Signal", "low_pass", "moving_maximum", "moving_mean", "run_lengths", "smoothing_share"]

Signal = NDArray[np.float32]

_NOTHING = 1e-6


def smoothing_share(corner_hz: float, rate_hz: float) -> float:
    """Return the share of its own past that a single pole keeps from one sample to the next."""
    return exp(-2 * pi * corner_hz / rate_hz)


def low_pass(values: Signal, corner_hz: float, rate_hz: float, *, settled: bool = True) -> Signal:
    """Return the values after a single pole.

    Parameters
    ----------
    values : ndarray, shape (..., n)
        Signal sampled at `rate_hz` [any unit].
    corner_hz : float
        The -3 dB frequency [Hz], > 0. Far above half the sampling rate the filter does nothing.
    rate_hz : float
        Sampling rate [Hz], > 0.
    settled : bool
        Whether it starts settled on the first value; else from 0.

    Returns
    -------
    ndarray, shape (..., n)
        y[i] = a*y[i-1] + (1-a)*x[i], a = exp(-2*pi*corner/rate): exact at the samples for a signal that
        stays between them, the usual matched pole.

    Notes
    -----
    Source: first-order low-pass (common practice).  Checked: tests/bench/test_filters.py, against
    scipy.signal.
    """
    share = smoothing_share(corner_hz, rate_hz)
    if share < _NOTHING:
        return values
    start = values[..., :1] if settled else np.float32(0)
    kept = values - start
    kept *= np.float32(1 - share)
    reach, weight, length = 1, share, values.shape[-1]
    while weight > _NOTHING and reach < length:
        kept[..., reach:] += np.float32(weight) * kept[..., :-reach]
        weight *= weight
        reach *= 2
    kept += start
    return kept


def moving_maximum(values: Signal, count: int) -> Signal:
    """Return the largest of the `count` newest values at each place (fewer at the start)."""
    found, reach = values.copy(), 1
    while reach < count:
        step = min(reach, count - reach)
        if step < values.shape[-1]:
            found[..., step:] = np.maximum(found[..., step:], found[..., :-step])
        reach += step
    return found


def moving_mean(values: Signal, count: int) -> Signal:
    """Return the mean of the `count` newest values at each place (fewer at the start)."""
    sums = np.cumsum(values, axis=-1, dtype=np.float64)
    found = sums.copy()
    found[..., count:] -= sums[..., :-count]
    places = np.minimum(np.arange(1, values.shape[-1] + 1), count)
    return np.asarray(found / places, dtype=np.float32)


def run_lengths(holds: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return for each place how many of the newest values hold without a gap, 0 where it does not."""
    places = np.arange(1, holds.shape[-1] + 1, dtype=np.int64)
    last_gap = np.maximum.accumulate(np.where(holds, 0, places), axis=-1)
    return np.asarray(places - last_gap, dtype=np.int64)


def blocks(seconds: float, block_s: float) -> int:
    """Return how many blocks a time takes, at least one."""
    return max(1, ceil(seconds / block_s - 1e-9))
