"""The numbers of a picture: raw signal, detected value, setpoints and relays on one time axis."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from specapp.bench.filters import Signal
from specapp.bench.functions import Function
from specapp.bench.ground import Ground
from specapp.bench.result import Level, Plot, State, Trace
from specapp.bench.scenario import Case, Scenario
from specapp.bench.trial import Trial

__all__ = ["plot_of"]

_PLACES = 320
_SIGNAL_UNITS = {
    "radial_vibration": ("movement about its mean", "um"),
    "axial_position": ("gap voltage", "V"),
    "casing_vibration": ("acceleration", "m/s2"),
    "overspeed": ("speed", "rpm"),
}


def plot_of(ground: Ground, scenario: Scenario, case: Case, trial: Trial) -> Plot:
    """Return the picture of a case. Raises ValueError for counted pulses, which have no detected value."""
    detected, decision = trial.detected, trial.decision
    if detected is None or decision is None:
        raise ValueError(f"{scenario.key} counts pulses and has no picture over time")
    function = ground.function
    count = detected.reading.shape[1]
    width = max(1, -(-count // _PLACES))
    times = (np.arange(0, count, width) * detected.step_s - trial.excitation.onset_s).round(4)
    return Plot(
        function.key,
        scenario.key,
        case.name,
        f"{case.name[:1].upper()}{case.name[1:]}: signal, detected value, setpoints and relays",
        tuple(float(time) for time in times),
        tuple(_signals(function, detected.high, detected.low, width)),
        tuple(_readings(function, detected.reading, width)),
        tuple(_levels(function, times, trial)),
        tuple(_states(trial, detected.step_s)),
    )


def _thinned(values: Signal, width: int, *, largest: bool) -> tuple[float, ...]:
    """Return the largest or smallest of every so many values: no peak is lost in a picture."""
    full = values.size // width * width
    parts = values[:full].reshape(-1, width)
    found = parts.max(axis=1) if largest else parts.min(axis=1)
    if full < values.size:
        rest = values[full:]
        found = np.append(found, rest.max() if largest else rest.min())
    return tuple(float(f"{value:.5g}") for value in found)


def _signals(function: Function, high: Signal, low: Signal, width: int) -> Iterator[Trace]:
    name, unit = _SIGNAL_UNITS.get(function.quantity, ("temperature", "degC"))
    for leg, direction in enumerate(function.directions):
        upper = _thinned(high[leg], width, largest=True)
        lower = _thinned(low[leg], width, largest=False)
        yield Trace(f"{direction} {name}", unit, "signal", upper, lower)


def _readings(function: Function, readings: Signal, width: int) -> Iterator[Trace]:
    for leg, direction in enumerate(function.directions):
        size = np.abs(readings[leg])
        place = _thinned(np.where(size > 0, readings[leg], 0), width, largest=True)
        if function.quantity == "axial_position" and abs(float(readings[leg].min())) > float(
            readings[leg].max()
        ):
            place = _thinned(readings[leg], width, largest=False)
        shown = tuple(float(f"{function.shown(value):.5g}") for value in place)
        yield Trace(direction, function.unit, "detected", shown, None)


def _levels(function: Function, times: NDArray[np.float64], trial: Trial) -> Iterator[Level]:
    until = min(trial.excitation.armed_until_s, function.multiplier_time_s) - trial.excitation.onset_s
    for name, value in (("alarm", function.alarm), ("trip", function.trip)):
        if value is None:
            continue
        shown = round(function.shown(value), 6)
        if function.multiplier > 1 and trial.excitation.armed_until_s:
            factors = np.where(times < until, function.multiplier, 1.0)
            yield Level(name, tuple(round(float(shown * factor), 6) for factor in factors))
        else:
            yield Level(name, (shown,))
        if function.quantity == "axial_position":
            yield Level(f"{name} low", (-shown,))


def _states(trial: Trial, step_s: float) -> Iterator[State]:
    assert trial.decision is not None
    onset = trial.excitation.onset_s
    for name, flags in (
        ("circuit fault", trial.decision.fault),
        ("alarm", trial.decision.alarm),
        ("trip", trial.decision.trip),
    ):
        edges = np.flatnonzero(np.diff(np.concatenate(([False], flags, [False])).astype(np.int8)))
        spans = edges.reshape(-1, 2) * step_s - onset
        yield State(name, tuple((round(float(first), 4), round(float(last), 4)) for first, last in spans))
