"""What the delay costs and what it buys, and what the rejection of spikes does to a real step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from specapp.bench.decision import decide
from specapp.bench.filters import Signal
from specapp.bench.ground import Ground
from specapp.bench.result import DelayLine, DelayTrial, RejectionProof
from specapp.bench.scenario import Case, excitation
from specapp.bench.scenarios.circuits import spikes
from specapp.bench.trial import Trial, happened, tried_excitation

__all__ = ["DelayGround", "delay_line"]

_TRIED_S: Final = (0.0, 0.1, 0.2, 0.5, 1.0, 2.0, 3.0, 5.0)
# Scenarios that ask for quiet do not touch elements: their delay is not tried by them.
_DELAYED: Final = ("radial_vibration", "axial_position", "casing_vibration")
_PRECISION_S: Final = 0.01


@dataclass(frozen=True, slots=True)
class DelayGround:
    """The cases of a function at their nominal size, the plain step among them."""

    quiet: Sequence[tuple[str, Case, Trial]]
    step: Trial | None


def delay_line(ground: Ground, known: DelayGround) -> DelayLine | None:
    """Return the delays of a function; None for one that has no delay or was not tried in a quiet
    scenario."""
    function = ground.function
    if function.quantity not in _DELAYED or not known.quiet or known.step is None or function.delay_s <= 0:
        return None
    trials = [_trial(ground, known, delay) for delay in sorted({*_TRIED_S, function.delay_s})]
    return DelayLine(
        function.key,
        function.delay_s,
        _shortest(ground, known, trials),
        tuple(trials),
        _proof(ground, known) if function.quantity == "radial_vibration" else None,
    )


def _disturbed_by(ground: Ground, known: DelayGround, delay_s: float) -> list[str]:
    """Return the scenarios that would alarm or trip needlessly with a delay."""
    found = []
    for scenario, case, trial in known.quiet:
        assert trial.detected is not None
        armed = trial.excitation.armed_until_s
        what = happened(decide(ground.function, trial.detected, delay_s, armed))
        if what == "trip" or (case.expected == "quiet" and what != "quiet"):
            found.append(scenario)
    return list(dict.fromkeys(found))


def _trial(ground: Ground, known: DelayGround, delay_s: float) -> DelayTrial:
    step = known.step
    assert step is not None
    assert step.detected is not None
    by = _disturbed_by(ground, known, delay_s)
    # The step of the longest delay tried ends before that delay has run: it stands as reached after it.
    decision = decide(ground.function, step.detected, 0.0)
    acted = decision.trip_s if ground.function.trip is not None else decision.alarm_s
    reached = step.since_onset(acted)
    return DelayTrial(delay_s, not by, tuple(by), None if reached is None else round(reached + delay_s, 3))


def _shortest(ground: Ground, known: DelayGround, trials: Sequence[DelayTrial]) -> float | None:
    """Return the shortest delay that stays quiet, to a hundredth of a second, by halving."""
    quiet = [trial.delay_s for trial in trials if trial.quiet]
    if not quiet:
        return None
    # Quiet is kept by every longer delay: a condition that did not last is not longer for being waited for.
    high = min(quiet)
    low = max((trial.delay_s for trial in trials if trial.delay_s < high), default=0.0)
    if high == 0:
        return 0.0
    while high - low > _PRECISION_S:
        middle = (low + high) / 2
        if _disturbed_by(ground, known, middle):
            low = middle
        else:
            high = middle
    return round(high, 2)


def _proof(ground: Ground, known: DelayGround) -> RejectionProof:
    """Return the step with and without rejection, and amid spikes; a hundredth of a second apart at most."""
    step = known.step
    assert step is not None
    function = ground.function
    on = replace(ground.settings, spike_rejection=True)
    off = replace(ground.settings, spike_rejection=False)
    plain = step.excitation
    foul: Signal = spikes(ground, plain.signal.shape[1], 0.1, plain.signal.shape[1] / plain.rate_hz - 0.1)
    with_it = tried_excitation(function, on, plain)
    without = tried_excitation(function, off, plain)
    amid = tried_excitation(function, on, replace(plain, volts=foul))
    still = ground.still(foul.shape[1] / plain.rate_hz)[:, : foul.shape[1]]
    quiet = tried_excitation(function, off, excitation(ground, still, volts=foul))
    times = [_acted(function.trip is not None, trial) for trial in (with_it, without, amid)]
    hides = times[0] is None or times[2] is None or times[1] is None
    allowed = ground.settings.detector_window_s
    late = not hides and max(times[0] or 0, times[2] or 0) > (times[1] or 0) + allowed
    return RejectionProof(times[0], times[1], times[2], quiet.happened, hides or late)


def _acted(trips: bool, trial: Trial) -> float | None:
    assert trial.decision is not None
    return trial.since_onset(trial.decision.trip_s if trips else trial.decision.alarm_s)
