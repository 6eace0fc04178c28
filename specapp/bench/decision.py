"""What the logic does with the readings: setpoints, multiplier, delay, vote, latch."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from specapp.bench.chain import Detected
from specapp.bench.filters import Signal, blocks, run_lengths
from specapp.bench.functions import Function

__all__ = ["Decision", "decide"]

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Decision:
    """The relays at every step, and when they first acted on the bench's clock [s]; None: never."""

    alarm: Flags
    fault: Flags
    trip: Flags
    alarm_s: float | None
    fault_s: float | None
    trip_s: float | None
    longest_above_s: float


def decide(
    function: Function, detected: Detected, delay_s: float | None = None, armed_until_s: float = 0.0
) -> Decision:
    """Return what the relays of a function do.

    Parameters
    ----------
    function : Function
        Setpoints, delay, vote and answer to circuit faults.
    detected : Detected
        Readings of its legs.
    delay_s : float or None
        A delay to try [s]; None for the function's own.
    armed_until_s : float
        End of the setpoint multiplier [s], not beyond its time-out.

    Returns
    -------
    Decision
        The alarm relay acts on any healthy leg above its alarm, the fault relay on any faulted leg, the trip
        relay by the vote and stays (latched). ``longest_above_s`` is the longest time a condition to alarm or
        trip held without a gap: a longer delay rides it out.

    Notes
    -----
    Source: API 670 for two faulted axial legs (from memory), the rest common practice.
    Checked: tests/bench/test_decision.py, against kernel.voting.
    """
    step = detected.step_s
    delay = function.delay_s if delay_s is None else delay_s
    wait = blocks(delay, step) if delay > 0 else 1
    size = np.abs(detected.reading) if function.quantity == "axial_position" else detected.reading
    healthy = ~detected.faulted
    raised = _factors(function, size.shape[1], step, armed_until_s)
    alarms = _above(size, function.alarm, raised) & healthy
    trips = _above(size, function.trip, raised) & healthy
    alarm_runs, trip_runs = run_lengths(alarms), run_lengths(trips)
    alarm_legs, trip_legs = alarm_runs >= wait, trip_runs >= wait
    fault: Flags = np.any(detected.faulted, axis=0)
    trip = _vote(function, alarm_legs, trip_legs, detected, wait)
    alarm: Flags = np.any(alarm_legs | trip_legs, axis=0)
    longest = max(int(alarm_runs.max()), int(trip_runs.max()))
    trip = np.maximum.accumulate(trip)
    return Decision(
        alarm, fault, trip, _first(alarm, step), _first(fault, step), _first(trip, step), longest * step
    )


def _factors(function: Function, count: int, step_s: float, armed_until_s: float) -> Signal | None:
    if function.multiplier <= 1 or armed_until_s <= 0:
        return None
    until = min(armed_until_s, function.multiplier_time_s)
    times = np.arange(count) * step_s
    return np.where(times < until, np.float32(function.multiplier), np.float32(1)).astype(np.float32)


def _above(size: Signal, setpoint: float | None, factors: Signal | None) -> Flags:
    if setpoint is None:
        return np.zeros(size.shape, dtype=np.bool_)
    if factors is None:
        return np.asarray(size > np.float32(setpoint))
    return np.asarray(size > np.float32(setpoint) * factors)


def _vote(function: Function, alarms: Flags, trips: Flags, detected: Detected, wait: int) -> Flags:
    """Return the vote at every step; a faulted leg leaves it, and too many lost ones trip after the delay."""
    faulted = detected.faulted
    if function.trip is None:
        return np.zeros(trips.shape[1], dtype=np.bool_)
    remaining = (~faulted).sum(axis=0)
    asking = (trips & ~faulted).sum(axis=0)
    if function.voting == "trip_with_alarm":
        seconds = (alarms & ~trips & ~faulted).sum(axis=0)
        asking = asking + np.where(asking > 0, seconds, 0)
    voted = (remaining > 0) & (asking >= np.minimum(function.must_ask, remaining))
    if function.faults_trip is not None:
        lost = (detected.lost.sum(axis=0) >= function.faults_trip)[None, :]
        voted = voted | (run_lengths(lost)[0] >= wait)
    return np.asarray(voted)


def _first(states: Flags, step_s: float) -> float | None:
    place = int(states.argmax())
    return place * step_s if states[place] else None
