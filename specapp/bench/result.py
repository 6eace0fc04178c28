"""bench/1: what the signal bench answers. Plain records, JSON by one call, no numpy.

Times are seconds from the begin of the disturbance, readings in the setting units of the function.
"""

from __future__ import annotations

from typing import Any, Literal

import msgspec

from specapp.domain.proposal import Record

FORMAT = "bench/1"

Expected = Literal["trip", "alarm", "quiet", "count"]
Happened = Literal["trip", "alarm", "quiet", "count", "lost"]
Verdict = Literal["as_it_should", "missed", "needless", "late", "not_evaluated", "does_not_apply"]


class SettingRead(Record, frozen=True):
    """A property of the chain as the model took it. ``value`` None: no such stage was modelled."""

    name: str
    text: str
    value: float | None
    unit: str
    source: str
    status: str


class FunctionLine(Record, frozen=True):
    """A protective function as it was tried: its legs, setpoints and logic."""

    key: str
    title: str
    quantity: str
    chain: str
    tags: tuple[str, ...]
    unit: str
    detection: str
    alarm: float | None
    trip: float | None
    delay_s: float | None
    voting: str | None
    multiplier: float | None
    note: str


class ScenarioLine(Record, frozen=True):
    key: str
    title: str
    text: str


class Mend(Record, frozen=True):
    """One setting that would mend a failure, tried on the bench. ``step_still_trips``: the plain step
    does."""

    setting: str
    now: str
    change_to: str
    step_still_trips: bool


class CaseOutcome(Record, frozen=True):
    """One case of a scenario: what should happen, what did, and how far it is from changing.

    ``margin_low`` and ``margin_high`` are factors on the disturbance between which the verdict stays (for a
    failure: the factor at
    which it would come right); None where no such factor was found between a sixteenth and sixteen.
    ``nominal`` with its ``unit`` is the disturbance at factor 1.
    """

    case: str
    expected: Expected
    happened: Happened
    verdict: Verdict
    text: str
    nominal: float
    unit: str
    disturbance: str
    margin_low: float | None
    margin_high: float | None
    time_to_alarm_s: float | None
    time_to_fault_s: float | None
    time_to_trip_s: float | None
    allowed_s: float | None
    highest: float | None
    mends: tuple[Mend, ...] = ()


class Cell(Record, frozen=True):
    """A function in a scenario. ``governing`` is the case that decides the cell: the worst, then the
    tightest."""

    function: str
    scenario: str
    verdict: Verdict
    tight: bool
    governing: str
    text: str
    needs: str | None
    cases: tuple[CaseOutcome, ...] = ()


class DelayTrial(Record, frozen=True):
    """What one delay gives: whether every quiet scenario stays quiet, and when the plain step trips."""

    delay_s: float
    quiet: bool
    disturbed_by: tuple[str, ...]
    time_to_trip_s: float | None


class RejectionProof(Record, frozen=True):
    """The plain step, and the step amid spikes, with the rejection of spikes on and off."""

    step_with_s: float | None
    step_without_s: float | None
    step_amid_spikes_s: float | None
    spikes_without: Happened
    hides_a_real_step: bool


class DelayLine(Record, frozen=True):
    """Delays of a function: the proposed one, and the shortest found that stays quiet where it should."""

    function: str
    proposed_s: float
    shortest_quiet_s: float | None
    trials: tuple[DelayTrial, ...]
    rejection: RejectionProof | None


class Trace(Record, frozen=True):
    """A line over time in one picture; ``low`` is the other edge of a band, as for a raw signal."""

    name: str
    unit: str
    kind: Literal["signal", "detected", "gap"]
    high: tuple[float, ...]
    low: tuple[float, ...] | None


class Level(Record, frozen=True):
    """A setpoint in a picture; ``values`` where it moves (a multiplier), else one value."""

    name: str
    values: tuple[float, ...]


class State(Record, frozen=True):
    """A state over time as the intervals in which it holds [s]."""

    name: str
    intervals: tuple[tuple[float, float], ...]


class Plot(Record, frozen=True):
    """A picture's numbers: everything shares ``time_s``, 0 being the begin of the disturbance."""

    function: str
    scenario: str
    case: str
    title: str
    time_s: tuple[float, ...]
    signals: tuple[Trace, ...]
    detected: tuple[Trace, ...]
    levels: tuple[Level, ...]
    states: tuple[State, ...]


class BenchResult(Record, frozen=True):
    format: str
    machine_tag: str
    rulebook_version: str
    criteria_digest: str
    seed: int
    settings: tuple[SettingRead, ...]
    scenarios: tuple[ScenarioLine, ...]
    functions: tuple[FunctionLine, ...]
    cells: tuple[Cell, ...]
    delays: tuple[DelayLine, ...]
    plots: tuple[Plot, ...]
    counts: dict[str, int]
    limits: tuple[str, ...]


def bench_bytes(result: BenchResult) -> bytes:
    """Return the JSON document, UTF-8, the same bytes for the same result."""
    return msgspec.json.encode(result)


def read_bench(data: bytes | dict[str, Any]) -> BenchResult:
    """Return a stored result. Raises `msgspec.ValidationError` where it is none."""
    if isinstance(data, dict):
        return msgspec.convert(data, BenchResult)
    return msgspec.json.decode(data, type=BenchResult)
