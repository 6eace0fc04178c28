"""One cell of the page: a function in a scenario."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.bench.ground import Ground
from specapp.bench.margins import margins
from specapp.bench.mending import mends
from specapp.bench.result import CaseOutcome, Cell, Verdict
from specapp.bench.scenario import Case, Scenario
from specapp.bench.scenarios.rises import STEP
from specapp.bench.trial import Trial, judged, tried
from specapp.bench.wording import case_text

__all__ = ["CellWork", "cell_of"]

_TIGHT = 1.05
_WORST = ("missed", "needless", "late", "as_it_should")


@dataclass(frozen=True, slots=True)
class CellWork:
    """A cell and the trials that it rests on; ``telling`` sorts the worth of its picture, smallest first."""

    cell: Cell
    trials: tuple[tuple[Case, Trial], ...]
    telling: tuple[int, float]


def cell_of(ground: Ground, scenario: Scenario, seed: int) -> CellWork:
    """Return the cell of a function and a scenario, tried where it applies and its inputs are known."""
    function = ground.function
    if not scenario.applies(function):
        return _untried(ground, scenario, "does_not_apply", None)
    needs = function.lacks or scenario.needs(ground)
    if needs is not None:
        return _untried(ground, scenario, "not_evaluated", needs)
    trials = tuple((case, tried(ground, case, case.nominal)) for case in scenario.cases(ground))
    outcomes = tuple(_outcome(ground, scenario, case, trial, seed) for case, trial in trials)
    governing = min(outcomes, key=lambda each: (_WORST.index(each.verdict), _distance(each)))
    telling = (_WORST.index(governing.verdict), _distance(governing))
    tight = governing.verdict == "as_it_should" and _distance(governing) < _TIGHT
    cell = Cell(
        function.key,
        scenario.key,
        governing.verdict,
        tight,
        governing.case,
        governing.text,
        None,
        outcomes,
    )
    return CellWork(cell, trials, telling)


def _untried(ground: Ground, scenario: Scenario, verdict: Verdict, needs: str | None) -> CellWork:
    text = f"Not tried: needs {needs}." if needs else "Does not concern this function."
    if needs == "installation.sample_rate" and ground.function.speed_hz:
        asked = ground.settings.samples_per_turn * ground.function.speed_hz
        text += f" {ground.settings.samples_per_turn:g} samples a turn ask at least {asked:.0f} Hz."
    cell = Cell(ground.function.key, scenario.key, verdict, False, "", text, needs)
    return CellWork(cell, (), (9, 0.0))


def _distance(outcome: CaseOutcome) -> float:
    """Return how far the nearest turn of the verdict is, as a factor of at least 1."""
    factors = [1 / outcome.margin_low] if outcome.margin_low else []
    factors += [outcome.margin_high] if outcome.margin_high else []
    return max(1.0, min(factors, default=99.0))


def _outcome(ground: Ground, scenario: Scenario, case: Case, trial: Trial, seed: int) -> CaseOutcome:
    verdict = judged(case, trial)
    low, high = margins(ground, case, trial)
    decision = trial.decision
    found = CaseOutcome(
        case=case.name,
        expected=case.expected,
        happened=trial.happened,
        verdict=verdict,
        text="",
        nominal=float(f"{case.nominal:.4g}"),
        unit=case.unit,
        disturbance=case.disturbance,
        margin_low=None if low is None else float(f"{low:.3g}"),
        margin_high=None if high is None else float(f"{high:.3g}"),
        time_to_alarm_s=trial.since_onset(decision.alarm_s) if decision else None,
        time_to_fault_s=trial.since_onset(decision.fault_s) if decision else None,
        time_to_trip_s=trial.since_onset(decision.trip_s) if decision else None,
        allowed_s=None if case.allowed_s is None else round(case.allowed_s, 3),
        highest=_highest(ground, trial),
        mends=() if verdict == "as_it_should" else mends(ground, scenario, case, STEP, seed),
    )
    return _with_text(found)


def _with_text(outcome: CaseOutcome) -> CaseOutcome:
    values = {name: getattr(outcome, name) for name in outcome.__struct_fields__}
    return CaseOutcome(**{**values, "text": case_text(outcome)})


def _highest(ground: Ground, trial: Trial) -> float | None:
    if trial.detected is None:
        return None
    return float(f"{ground.function.shown(float(abs(trial.detected.reading).max())):.4g}")
