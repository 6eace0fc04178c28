"""How much larger or smaller a disturbance would turn the verdict, by search."""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

import numpy as np

from specapp.bench.ground import Ground
from specapp.bench.scenario import Case
from specapp.bench.trial import Trial, tried

__all__ = ["margins"]

_NEAR = 1.03  # the factor is known to 3 percent either way
_STRIDE = 4.0


def margins(ground: Ground, case: Case, first: Trial) -> tuple[float | None, float | None]:
    """Return the factors on the disturbance at which the verdict turns, below and above 1.

    None: it does not turn within the sizes that are tried. For a case that went wrong the one returned is
    where it
    comes right; the disturbance is taken to act the more the larger it is, or the less, as the case says.
    """
    right = first.happened == case.expected
    low = high = None
    if right:
        if case.bounds in ("low", "both"):
            low = _turn(ground, case, first, up=False)
        if case.bounds in ("high", "both"):
            high = _turn(ground, case, first, up=True)
        return low, high
    if case.bounds in ("low", "both"):
        high = _turn(ground, case, first, up=True)
    if case.bounds in ("high", "both") and high is None:
        low = _turn(ground, case, first, up=False)
    return low, high


def _turn(ground: Ground, case: Case, first: Trial, *, up: bool) -> float | None:
    state = first.happened == case.expected
    tested: dict[float, bool] = {1.0: True}

    def stays(factor: float) -> bool:
        if factor not in tested:
            trial = tried(ground, case, case.nominal * factor)
            tested[factor] = (trial.happened == case.expected) == state
        return tested[factor]

    end = case.most if up else case.least
    guess = _guess(ground, case, first)
    if guess is not None and ((up and 1 < guess < end) or (not up and end < guess < 1)):
        near, far = (guess / _NEAR, guess * _NEAR) if up else (guess * _NEAR, guess / _NEAR)
        if ((near <= 1) if up else (near >= 1)) or stays(near):
            if not stays(far):
                return guess
        elif not up or near > 1:
            return _halved(stays, 1.0, near)
    inner = 1.0
    stride = _STRIDE if up else 1 / _STRIDE
    while True:
        outer = inner * stride
        outer = min(outer, end) if up else max(outer, end)
        if not stays(outer):
            return _halved(stays, inner, outer)
        if outer == end:
            return None
        inner = outer


def _halved(stays: Callable[[float], bool], inner: float, outer: float) -> float:
    while max(inner / outer, outer / inner) > _NEAR**2:
        middle = sqrt(inner * outer)
        if stays(middle):
            inner = middle
        else:
            outer = middle
    return sqrt(inner * outer)


def _guess(ground: Ground, case: Case, first: Trial) -> float | None:
    """Return the factor at which the reading would stand at the setpoint, if it went by the disturbance."""
    if first.detected is None:
        return None
    function, detected = ground.function, first.detected
    onset = max(1, int(first.excitation.onset_s / detected.step_s))
    size = np.abs(detected.reading)
    before = float(size[:, :onset].max())
    # With two legs that must both ask the smaller one decides.
    peaks = np.sort(size.max(axis=1))[::-1]
    asking = min(function.must_ask, len(peaks)) - 1 if case.expected == "trip" else 0
    peak = float(peaks[asking])
    setpoint = function.level if case.expected != "quiet" else (function.alarm or function.level)
    if peak <= 1.02 * before or setpoint <= before:
        return None
    if case.unit.endswith(("p-p", "r.m.s.")) or case.unit == function.model_unit:
        return setpoint / peak
    return (setpoint - before) / (peak - before)
