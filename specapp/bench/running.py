"""The whole page: every function in every scenario, with margins, mends, delays and the telling pictures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from typing import NamedTuple, Protocol, TypeVar

from specapp.bench.cells import CellWork, cell_of
from specapp.bench.delays import DelayGround, delay_line
from specapp.bench.functions import functions_of
from specapp.bench.ground import Ground
from specapp.bench.plotting import plot_of
from specapp.bench.result import FORMAT, BenchResult, Cell, DelayLine, Plot, ScenarioLine
from specapp.bench.scenario import Case, Scenario
from specapp.bench.scenarios.registry import SCENARIOS
from specapp.bench.scenarios.rises import STEP
from specapp.bench.settings import settings_of
from specapp.bench.trial import tried
from specapp.domain.proposal import Proposal

__all__ = ["LIMITS", "BenchCancelled", "UnknownSubject", "bench_steps", "run_bench", "trace_cell"]

LIMITS = (
    "Signals are synthetic: they show what the chain does of a signal, not what this machine will do.",
    "Properties of devices that are not known are taken and named; tell the device's own and run again.",
    "A model passes no test: the factory and the site test try the real chain.",
)
_MOST_PLOTS = 16

Progress = Callable[[int, int], None]
Check = Callable[[], bool]


class BenchCancelled(Exception):
    """The run was stopped between two cells; nothing of it is kept."""


class UnknownSubject(KeyError):
    """A function, scenario or case was named that there is none of."""


def run_bench(
    proposal: Proposal,
    *,
    seed: int = 1,
    told: Mapping[str, float] | None = None,
    functions: Sequence[str] | None = None,
    scenarios: Sequence[str] | None = None,
    progress: Progress | None = None,
    cancelled: Check | None = None,
) -> BenchResult:
    """Return bench/1 of a proposal; the same inputs give the same result.

    Parameters
    ----------
    proposal : Proposal
        What is tried; nothing is recalculated of it.
    seed : int
        Seed of noise and of the times of spikes.
    told : mapping or None
        Properties of the device that are known, by the names of `settings.told_settings`.
    functions, scenarios : sequence of str or None
        Keys of those to try; None for all.
    progress : callable or None
        Called with cells done and cells in all, after each.
    cancelled : callable or None
        Asked before each cell; True ends the run.

    Raises
    ------
    SettingError
        If a told property is unknown or out of range.
    UnknownSubject
        If a function or scenario named does not exist.
    BenchCancelled
        If `cancelled` answered True.
    """
    steps = bench_steps(proposal, seed=seed, told=told, functions=functions, scenarios=scenarios)
    stopped = "stopped before the first cell"
    while True:
        # Asked before each cell: the next step tries one.
        if cancelled is not None and cancelled():
            steps.close()
            raise BenchCancelled(stopped)
        try:
            done, total = next(steps)
        except StopIteration as finished:
            result: BenchResult = finished.value
            return result
        stopped = f"stopped after {done} of {total} cells"
        if progress is not None:
            progress(done, total)


def bench_steps(
    proposal: Proposal,
    *,
    seed: int = 1,
    told: Mapping[str, float] | None = None,
    functions: Sequence[str] | None = None,
    scenarios: Sequence[str] | None = None,
) -> Generator[tuple[int, int], None, BenchResult]:
    """Run as `run_bench` step by step: yields cells done and cells in all after each, returns the result.

    Closed between two steps it is given up, and nothing of it is kept. What is told wrongly is refused at the
    first step.
    """
    settings, reads = settings_of(proposal, told)
    chosen = _chosen(functions_of(proposal), functions)
    tried_scenarios = _chosen(SCENARIOS, scenarios)
    total = len(chosen) * len(tried_scenarios)
    cells: list[Cell] = []
    delays: list[DelayLine] = []
    telling: list[_Telling] = []
    for function in chosen:
        ground = Ground(function, settings, seed)
        works: list[tuple[Scenario, CellWork]] = []
        for scenario in tried_scenarios:
            work = cell_of(ground, scenario, seed)
            works.append((scenario, work))
            cells.append(work.cell)
            yield len(cells), total
        line = delay_line(ground, _delay_ground(works))
        if line is not None:
            delays.append(line)
        telling += [
            _Telling(work.telling, scenario.key, function.key, work.cell.governing)
            for scenario, work in works
            if any(trial.detected is not None for _, trial in work.trials)
        ]
    return BenchResult(
        format=FORMAT,
        machine_tag=str(proposal.machine.get("tag") or ""),
        rulebook_version=proposal.rulebook_version,
        criteria_digest=proposal.criteria_digest,
        seed=seed,
        settings=reads,
        scenarios=tuple(ScenarioLine(each.key, each.title, each.text) for each in tried_scenarios),
        functions=tuple(function.line() for function in chosen),
        cells=tuple(cells),
        delays=tuple(delays),
        plots=tuple(
            trace_cell(proposal, each.function, each.scenario, each.case, seed=seed, told=told)
            for each in _worth_a_sheet(telling)
        ),
        counts=dict(sorted(Counter(cell.verdict for cell in cells).items())),
        limits=LIMITS,
    )


def trace_cell(
    proposal: Proposal,
    function: str,
    scenario: str,
    case: str | None = None,
    *,
    size: float | None = None,
    seed: int = 1,
    told: Mapping[str, float] | None = None,
) -> Plot:
    """Return the picture of one case; of its first one, and of its nominal size, unless said otherwise.

    Raises
    ------
    UnknownSubject
        If there is no such function, scenario or case, or the scenario does not concern the function.
    ValueError
        If the size is not above 0, an input is missing, or the scenario counts pulses.
    """
    settings, _ = settings_of(proposal, told)
    (found,) = _chosen(functions_of(proposal), (function,))
    (event,) = _chosen(SCENARIOS, (scenario,))
    ground = Ground(found, settings, seed)
    needs = found.lacks or (event.needs(ground) if event.applies(found) else None)
    if needs:
        raise ValueError(f"{scenario} of {function} needs {needs}")
    cases = tuple(event.cases(ground)) if event.applies(found) else ()
    wanted: Case | None = next((each for each in cases if case in (None, each.name)), None)
    if wanted is None:
        raise UnknownSubject(f"{function}, {scenario}, {case or 'any case'}")
    if size is not None and not 0 < size < wanted.nominal * 100:
        raise ValueError(f"size: found {size!r}, allowed above 0 to {wanted.nominal * 100:g} {wanted.unit}")
    return plot_of(ground, event, wanted, tried(ground, wanted, wanted.nominal if size is None else size))


class _Keyed(Protocol):
    @property
    def key(self) -> str: ...


Keyed = TypeVar("Keyed", bound=_Keyed)


def _chosen(known: Sequence[Keyed], keys: Sequence[str] | None) -> tuple[Keyed, ...]:
    if keys is None:
        return tuple(known)
    by_key = {each.key: each for each in known}
    for key in keys:
        if key not in by_key:
            raise UnknownSubject(key)
    return tuple(each for each in known if each.key in set(keys))


def _delay_ground(works: Iterable[tuple[Scenario, CellWork]]) -> DelayGround:
    step = None
    quiet = []
    for scenario, work in works:
        for case, trial in work.trials:
            if trial.detected is None:
                continue
            if scenario is STEP:
                step = trial
            elif case.expected == "quiet" or (case.expected == "alarm" and case.unit == "s"):
                quiet.append((scenario.key, case, trial))
    return DelayGround(quiet, step)


class _Telling(NamedTuple):
    """What a picture is worth: failures first, then how near the verdict is to its turn."""

    worth: tuple[int, float]
    scenario: str
    function: str
    case: str


def _worth_a_sheet(known: list[_Telling]) -> list[_Telling]:
    """Return the most telling picture of each scenario."""
    chosen: dict[str, _Telling] = {}
    for each in sorted(known):
        chosen.setdefault(each.scenario, each)
    return list(chosen.values())[:_MOST_PLOTS]
