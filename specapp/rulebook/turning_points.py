"""What would turn it: for every number of a description, where the proposal changes in kind.

Each input is moved alone, away from its value, in steps that double, until something is of another kind
(another criterion governs, a check turns, a point appears or goes, a range or tip changes, a setpoint is
held, an open point opens or closes) or the description would no longer be allowed. The step in which that
happens is then halved until it is no wider than 0.1 percent of the value, or one for whole numbers.

What this cannot promise: something that turns and turns back within one step is not seen, and a narrow
island may be missed the more easily the farther it lies from the value of now. Of what is found, both sides
were evaluated: just before it nothing has turned, just beyond it what is named has.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Generator, Iterator, Sequence
from functools import partial

from specapp.criteria.loader import CriteriaSet
from specapp.domain.context import ReadingContext
from specapp.domain.findings import Findings
from specapp.domain.machine import MachineDescription
from specapp.domain.machine_checks import check_machine
from specapp.domain.overrides import Override
from specapp.domain.proposal import Record
from specapp.domain.quantities import canonical
from specapp.domain.reading import machine_json
from specapp.rulebook.description_paths import NumericInput, numeric_inputs, with_value
from specapp.rulebook.fact_names import UNIT_WORDS, fact_words, pinion_names
from specapp.rulebook.kinds import Kind, Turned
from specapp.rulebook.proposing import reading_context
from specapp.rulebook.reevaluation import Reevaluation
from specapp.rulebook.turned_words import item_words, turns
from specapp.rulebook.turning_conductor import ConductorSizes
from specapp.rulebook.turning_records import (
    NOT_PASSED,
    TEXT_TURNS,
    PassingValue,
    TurningPoint,
    TurningPoints,
)

# How closely a turning point is found, as a share of the value; and of the field's whole range near zero.
RESOLUTION = 0.001
_NEAR_ZERO = 1e-6
# The first step away from the value of now, as a share of it; and of the whole range where that is zero.
_FIRST_STEP = 0.005
_FIRST_STEP_AT_ZERO = 1e-3
_STEP_GROWTH = 2.0

NOTE = (
    "Each number is moved alone, in steps that double, and what is found is narrowed to 0.1 percent. "
    "Something that turns and turns back within one step is not seen."
)


class Progress(Record, frozen=True):
    """After each input: how many of how many are done, which was the last, and what it gave."""

    done: int
    total: int
    path: str
    found: tuple[TurningPoint, ...]


def turning_points(
    machine: MachineDescription,
    criteria: CriteriaSet,
    overrides: Sequence[Override] = (),
    *,
    progress: Callable[[Progress], None] | None = None,
) -> TurningPoints:
    """Return what would turn the proposal of a description that was read."""
    search = search_turning_points(machine, criteria, overrides)
    while True:
        try:
            step = next(search)
        except StopIteration as finished:
            found: TurningPoints = finished.value
            return found
        if progress is not None:
            progress(step)


def search_turning_points(
    machine: MachineDescription, criteria: CriteriaSet, overrides: Sequence[Override] = ()
) -> Generator[Progress, None, TurningPoints]:
    """Search step by step: yields after every input, so that it can be shown, paused or given up."""
    base = Reevaluation(machine, criteria, overrides)
    inputs = list(_inputs_worth_moving(machine, base))
    allowed = _Allowed(machine, reading_context(criteria))
    points: list[TurningPoint] = []
    passing: list[PassingValue] = []
    for done, (number, now, assumed) in enumerate(inputs, start=1):
        one = _OneInput(base, allowed, number, now, assumed)
        found = tuple(one.turning_points())
        points += found
        passing += one.passing_values()
        yield Progress(done, len(inputs), number.path, found)
    sizes = ConductorSizes(base)
    points += sizes.turning_points()
    passing += sizes.passing_values()
    return TurningPoints(
        tuple(sorted(points, key=lambda point: point.distance)),
        tuple(sorted(passing, key=lambda value: value.distance)),
        len(inputs) + sizes.is_moved,
        NOTE,
    )


def _inputs_worth_moving(
    machine: MachineDescription, base: Reevaluation
) -> Iterator[tuple[NumericInput, float, bool]]:
    """Yield the numbers told, and those assumed as a number, that any rule looks at."""
    for number, told in numeric_inputs(machine):
        now = told if told is not None else base.assumed(number.path)
        if now is not None and base.reaches(number.path):
            yield number, now, told is None


class _Allowed:
    """Whether a description with another number would still be read."""

    def __init__(self, machine: MachineDescription, context: ReadingContext) -> None:
        self._machine, self._context, self._raw = machine, context, machine_json(machine)

    def __call__(self, number: NumericInput, value: float) -> bool:
        if not number.admits(value):
            return False
        findings = Findings(self._raw)
        check_machine(with_value(self._machine, number.path, value), self._context, findings)
        return not findings.located


class _OneInput:
    """One number, moved alone. Every value is evaluated once."""

    def __init__(
        self, base: Reevaluation, allowed: _Allowed, number: NumericInput, now: float, assumed: bool
    ) -> None:
        self._base, self._allowed, self._number = base, allowed, number
        self._now, self._assumed = now, assumed
        self._known: dict[float, Turned] = {}
        self._here = self._turned(now) if assumed else {}
        self._fact = fact_words(number.path, pinion_names(machine_json(base.machine)))
        self._sides = [(side, self._grid(side)) for side in (-1, 1)]

    def turning_points(self) -> Iterator[TurningPoint]:
        for side, grid in self._sides:
            bracket = self._first(grid, lambda value: self._turned(value) != self._here)
            if bracket is not None:
                yield self._point(side, *bracket)

    def passing_values(self) -> Iterator[PassingValue]:
        """Yield, for the checks that this number moves and that do not pass, the nearest value that would."""
        moved = self._moved_checks()
        for check in dict.fromkeys(name for _, _, name in moved):
            kinds = [kind for kind in moved if kind[2] == check]
            for side, grid in self._sides:
                bracket = self._first(grid, partial(self._passes, kinds[0]))
                if bracket is not None:
                    yield self._passing(check, kinds, side, *bracket)

    def _turned(self, value: float) -> Turned:
        if value not in self._known:
            self._known[value] = self._base.turned_by(self._number.path, value)
        return self._known[value]

    def _passes(self, kind: Kind, value: float) -> bool:
        return self._turned(value).get(kind, (None, None))[1] == "pass"

    def _moved_checks(self) -> list[Kind]:
        open_ = [kind for kind, result in self._base.kinds.items() if kind[0] == "check"]
        waiting = {kind for kind in open_ if self._base.kinds[kind] in NOT_PASSED}
        for _, grid in self._sides:
            if waiting and grid:
                moved = self._base.checks_moved_by(self._number.path, grid[min(1, len(grid) - 1)])
                return [kind for kind in open_ if kind in waiting and kind in moved]
        return []

    def _grid(self, side: int) -> list[float]:
        """Return the values to try on one side, the nearest first, up to the last that is allowed."""
        number, now = self._number, self._now
        end = number.maximum if side > 0 else number.minimum
        if not math.isfinite(end) or (end - now) * side <= 0:
            return []
        span = number.maximum - number.minimum
        if not self._allowed(number, end):
            end = self._last_allowed(now, end, span)
        step = _FIRST_STEP * abs(now) or _FIRST_STEP_AT_ZERO * span
        step = max(step, 1.0) if number.whole else step
        values: list[float] = []
        value = now
        while True:
            value = value + side * step
            # Towards zero, doubled steps would jump over everything small: halve the value instead.
            if side < 0 and now > 0 and value < now / _STEP_GROWTH:
                value = (values[-1] if values else now) / _STEP_GROWTH
                near_end = value <= max(end, now * RESOLUTION)
            else:
                near_end = (end - value) * side <= 0
            value = float(math.floor(value)) if number.whole and side < 0 else value
            value = float(math.ceil(value)) if number.whole and side > 0 else value
            value = canonical(value)
            if near_end or (end - value) * side <= 0:
                break
            values.append(value)
            step *= _STEP_GROWTH
        return [*values, end] if end != now else values

    def _last_allowed(self, now: float, end: float, span: float) -> float:
        """Return the farthest value that a description may have, to a tenth of the resolution."""
        inside, outside = now, end
        while abs(outside - inside) > self._finest(inside, outside, span) / 10:
            middle = canonical((inside + outside) / 2)
            if self._number.whole:
                middle = float(round(middle))
                if middle in (inside, outside):
                    break
            if self._allowed(self._number, middle):
                inside = middle
            else:
                outside = middle
        return inside

    def _finest(self, one: float, other: float, span: float) -> float:
        if self._number.whole:
            return 1.0
        return max(RESOLUTION * max(abs(one), abs(other)), _NEAR_ZERO * span)

    def _first(self, grid: list[float], holds: Callable[[float], bool]) -> tuple[float, float] | None:
        """Return two values, close to each other, of which the farther is where something first holds."""
        before = self._now
        for value in grid:
            if holds(value):
                return self._narrowed(before, value, holds)
            before = value
        return None

    def _narrowed(self, same: float, other: float, holds: Callable[[float], bool]) -> tuple[float, float]:
        span = self._number.maximum - self._number.minimum
        while abs(other - same) > self._finest(same, other, span):
            middle = canonical((same + other) / 2)
            if self._number.whole:
                middle = float(round(middle))
                if middle in (same, other):
                    break
            if holds(middle):
                other = middle
            else:
                same = middle
        return same, other

    def _at(self, same: float, other: float, holds: Callable[[float], bool]) -> tuple[float, float, float]:
        """Return the roundest value of a bracket, and the bracket with it as one of its ends."""
        value = other if self._number.whole else roundest(same, other)
        return (value, same, value) if holds(value) else (value, value, other)

    def _point(self, side: int, same: float, other: float) -> TurningPoint:
        value, same, other = self._at(same, other, lambda at: self._turned(at) != self._here)
        turned = self._turned(other)
        fresh = {kind: change for kind, change in turned.items() if self._here.get(kind) != change}
        found = turns(fresh or {kind: (now, was) for kind, (was, now) in self._here.items()})
        direction = "above" if side > 0 else "below"
        place = (
            f"at {self._text(value)} and {direction}"
            if value == other
            else f"{direction} {self._text(value)}"
        )
        told = "assumed" if self._assumed else "now"
        what = "; ".join(turn.text for turn in found[:TEXT_TURNS])
        more = f"; and {len(found) - TEXT_TURNS} more changes" if len(found) > TEXT_TURNS else ""
        text = (
            f"{self._fact[0].upper()}{self._fact[1:]} {place}, {told} {self._text(self._now)}: {what}{more}."
        )
        return TurningPoint(
            self._number.path,
            self._fact,
            self._now,
            self._number.unit,
            self._assumed,
            direction,
            value,
            same,
            other,
            abs(other - same),
            self._distance(value),
            found,
            text,
        )

    def _passing(
        self, check: str, kinds: list[Kind], side: int, not_yet: float, passes: float
    ) -> PassingValue:
        subjects = tuple(kind[1] for kind in kinds if self._passes(kind, passes))
        value, not_yet, passes = self._at(not_yet, passes, partial(self._passes, kinds[0]))
        result = str(self._base.kinds[kinds[0]])
        bounds = ("at least", "above") if side > 0 else ("at most", "below")
        text = (
            f"{check} of {item_words(subjects)} would pass with {self._fact} "
            f"{bounds[value != passes]} {self._text(value)}; now {self._text(self._now)} ({result})."
        )
        return PassingValue(
            self._number.path,
            self._fact,
            self._now,
            self._number.unit,
            check,
            result,
            subjects,
            "above" if side > 0 else "below",
            value,
            not_yet,
            passes,
            self._distance(value),
            text,
        )

    def _distance(self, value: float) -> float:
        span = self._number.maximum - self._number.minimum
        return abs(value - self._now) / (abs(self._now) or span)

    def _text(self, value: float) -> str:
        unit = self._number.unit
        return f"{value:.6g} {UNIT_WORDS.get(unit, unit)}".rstrip()


def roundest(one: float, other: float) -> float:
    """Return the number with the fewest decimals between two, both included."""
    low, high = min(one, other), max(one, other)
    for decimals in range(-4, 10):
        scale = 10.0**decimals
        found = math.ceil(low * scale - RESOLUTION * _NEAR_ZERO) / scale
        if low <= found <= high:
            return canonical(found)
    return other
