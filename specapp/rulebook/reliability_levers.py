"""What would turn one trip function: each figure it rests on moved alone until its target is met or missed.

The probability only grows with intervals, times, rates and common cause, and only falls with coverage, so
that halving a bracket finds the one value at which it crosses the limit.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from msgspec.structs import replace

from specapp.catalogue.failure_data import FailureData
from specapp.rulebook.fact_names import fact_words
from specapp.rulebook.reliability import (
    LONGEST_INTERVAL_H,
    SHORTEST_INTERVAL_H,
    Stage,
    Tests,
    leg_rates,
    vote_pfd,
)
from specapp.rulebook.reliability_working import stages_of, tests_of

_RESOLUTION: Final = 1e-4
_MOST_STEPS: Final = 60
_LARGEST_RATE_PER_H: Final = 0.01
_LONGEST_REPAIR_H: Final = 8760.0
_RATES_MOVED: Final = 3  # devices, those of the largest shares
_WITH_COMMON_CAUSE: Final = ("1oo2", "2oo3", "1oo3")

Change = Callable[[float], tuple[Sequence[Stage], Tests]]


@dataclass(frozen=True, slots=True)
class Lever:
    """One figure that may be moved: from ``best`` to ``worst``, the ends of what it may be."""

    path: str
    unit: str
    now: float
    best: float
    worst: float
    change: Change


@dataclass(frozen=True, slots=True)
class LeverTurn:
    """Where a figure turns a function that ``meets`` its target, or one that misses it.

    ``turns_at`` is the last value that meets the limit; None where no value between the ends turns it.
    ``worsens`` is "above" where larger values are worse, else "below".
    """

    path: str
    fact: str
    unit: str
    now: float
    turns_at: float | None
    meets: bool
    worsens: str


def function_turns(function: Mapping[str, Any]) -> tuple[LeverTurn, ...]:
    """Return where each figure turns a stored function; nothing without target or calculation."""
    limit = function["limit_pfd"]
    if limit is None or not function["stages"]:
        return ()
    stages, tests = stages_of(function), tests_of(function)
    meets = _pfd(stages, tests) < limit
    turns = []
    for lever in _levers(function, stages, tests):
        turns.append(
            LeverTurn(
                lever.path,
                fact_words(lever.path, ()),
                lever.unit,
                lever.now,
                _crossing(lever, limit, meets=meets),
                meets,
                "above" if lever.worst > lever.best else "below",
            )
        )
    return tuple(turns)


def _pfd(stages: Sequence[Stage], tests: Tests) -> float:
    return sum(vote_pfd(stage.credited, leg_rates(stage.elements, tests), tests) for stage in stages)


def _crossing(lever: Lever, limit: float, *, meets: bool) -> float | None:
    end = lever.worst if meets else lever.best
    if (_pfd(*lever.change(end)) < limit) == meets:
        return None
    good, bad = (lever.now, end) if meets else (end, lever.now)
    for _ in range(_MOST_STEPS):
        if abs(good - bad) <= _RESOLUTION * max(abs(good), abs(bad)):
            break
        middle = _middle(good, bad)
        good, bad = (middle, bad) if _pfd(*lever.change(middle)) < limit else (good, middle)
    return good


def _middle(one: float, other: float) -> float:
    """Return the geometric mean of figures of different sizes, else the mean."""
    low, high = sorted((one, other))
    return float((low * high) ** 0.5) if low > 0 and high > 4 * low else (low + high) / 2


def _levers(function: Mapping[str, Any], stages: Sequence[Stage], tests: Tests) -> Iterator[Lever]:
    full = tests.full_interval_h
    longest = min(LONGEST_INTERVAL_H, full) if tests.coverage < 1 and full is not None else LONGEST_INTERVAL_H

    def tested(name: str) -> Change:
        def change(value: float) -> tuple[Sequence[Stage], Tests]:
            moved: dict[str, Any] = {name: value}
            return stages, replace(tests, **moved)

        return change

    yield Lever(
        "safety.proof_test_interval",
        "h",
        tests.interval_h,
        SHORTEST_INTERVAL_H,
        longest,
        tested("interval_h"),
    )
    if full is not None:
        yield Lever("safety.proof_test_coverage", "", tests.coverage, 1.0, 0.0, tested("coverage"))
        if tests.coverage < 1:
            yield Lever(
                "safety.full_test_interval",
                "h",
                full,
                tests.interval_h,
                LONGEST_INTERVAL_H,
                tested("full_interval_h"),
            )
    yield Lever("safety.repair_time", "h", tests.repair_h, 0.0, _LONGEST_REPAIR_H, tested("repair_h"))
    yield Lever(
        "safety.restoration_time", "h", tests.restoration_h, 0.0, _LONGEST_REPAIR_H, tested("restoration_h")
    )
    yield from _of_devices(function, stages, tests)


def _of_devices(function: Mapping[str, Any], stages: Sequence[Stage], tests: Tests) -> Iterator[Lever]:
    for stage in stages:
        if stage.credited in _WITH_COMMON_CAUSE:
            for element in stage.elements:
                change = _device_change(stages, tests, element.device, "beta")
                yield Lever(f"devices.{element.device}.beta", "", element.beta or 0.0, 0.0, 1.0, change)
    largest = sorted(function["parts"], key=lambda part: -part["share"])
    for device in list(dict.fromkeys(str(part["device"]) for part in largest))[:_RATES_MOVED]:
        now = next(each for stage in stages for each in stage.elements if each.device == device)
        name = "dangerous_undetected_per_h"
        change = _device_change(stages, tests, device, name)
        yield Lever(
            f"devices.{device}.{name}",
            "1/h",
            now.dangerous_undetected_per_h,
            0.0,
            max(_LARGEST_RATE_PER_H, now.dangerous_undetected_per_h),
            change,
        )


def _device_change(stages: Sequence[Stage], tests: Tests, device: str, name: str) -> Change:
    def moved(element: FailureData, value: float) -> FailureData:
        if element.device != device:
            return element
        return replace(element, beta=value) if name == "beta" else _with_rate(element, value)

    def change(value: float) -> tuple[Sequence[Stage], Tests]:
        return [
            replace(stage, elements=tuple(moved(each, value) for each in stage.elements)) for stage in stages
        ], tests

    return change


def _with_rate(element: FailureData, value: float) -> FailureData:
    return replace(element, dangerous_undetected_per_h=value)
