"""One case tried at one size, and judged."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.bench.chain import Detected, detect
from specapp.bench.decision import Decision, decide
from specapp.bench.excitation import Excitation
from specapp.bench.functions import Function
from specapp.bench.ground import Ground
from specapp.bench.pulses import counted_pulses
from specapp.bench.result import Expected, Happened, Verdict
from specapp.bench.scenario import Case
from specapp.bench.settings import DeviceSettings

__all__ = ["Trial", "judged", "tried"]


@dataclass(frozen=True, slots=True)
class Trial:
    """What a case of one size did. ``detected`` and ``decision`` are None where pulses were counted."""

    excitation: Excitation
    happened: Happened
    detected: Detected | None
    decision: Decision | None
    pulses: tuple[int, int] | None = None

    def since_onset(self, time_s: float | None) -> float | None:
        return None if time_s is None else round(time_s - self.excitation.onset_s, 4)


def tried(ground: Ground, case: Case, size: float) -> Trial:
    """Return what the function does of a case of one size."""
    return tried_excitation(ground.function, ground.settings, case.build(size))


def tried_excitation(function: Function, settings: DeviceSettings, excitation: Excitation) -> Trial:
    if function.quantity == "phase_reference":
        counted, passed = counted_pulses(settings, excitation)
        return Trial(excitation, "count" if counted == passed else "lost", None, None, (counted, passed))
    detected = detect(function, settings, excitation)
    decision = decide(function, detected, armed_until_s=excitation.armed_until_s)
    return Trial(excitation, happened(decision), detected, decision)


def happened(decision: Decision) -> Happened:
    if decision.trip_s is not None:
        return "trip"
    return "quiet" if decision.alarm_s is None and decision.fault_s is None else "alarm"


def judged(case: Case, trial: Trial) -> Verdict:
    """Return the verdict: what should happen against what did, and in time."""
    verdict = _compared(case.expected, trial.happened)
    if verdict != "as_it_should" or case.allowed_s is None or trial.decision is None:
        return verdict
    acted = trial.decision.trip_s if case.expected == "trip" else trial.decision.alarm_s
    since = trial.since_onset(acted)
    return "late" if since is None or since > case.allowed_s else verdict


_RANK = {"quiet": 0, "alarm": 1, "trip": 2}


def _compared(expected: Expected, what: Happened) -> Verdict:
    if expected == what:
        return "as_it_should"
    if expected == "count":
        return "missed"
    return "needless" if _RANK[what] > _RANK[expected] else "missed"
