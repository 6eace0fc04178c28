"""Labels as flags: each beside an upright leader of its own mark, in tiers, none across another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

# Leaders this close [mm] count as one line.
_SAME_MM = 0.05
# What a placing costs, in tiers: a line that it cannot keep clear of, against labels hung lower.
_CROSSING_COST = 1.5


@dataclass(frozen=True, slots=True)
class Flag:
    """Where a label goes: from ``left`` to ``right`` mm, in a tier counted downward from 0."""

    left: float
    right: float
    tier: int


@dataclass(frozen=True, slots=True)
class _Layout:
    cost: float
    flags: tuple[Flag, ...]


def flags(
    at: Sequence[float], widths: Sequence[float], low: float, high: float, avoid: Sequence[float] = ()
) -> tuple[Flag, ...]:
    """Return one flag for each leader at ``at`` mm, in the order given.

    A flag stands left or right of its leader, within ``low`` to ``high``, across it where it is too wide
    for either. Leaders run down to the tier of their flag, so a flag hangs lower than every other whose
    leader it reaches over. Where no choice of sides allows that, every flag gets a tier of its own. Lines
    at ``avoid`` are kept clear of where that does not cost depth.
    """
    placed: dict[int, Flag] = {}
    for group in _groups(at, widths, low, high):
        layout = _best([at[i] for i in group], [widths[i] for i in group], low, high, avoid)
        placed.update(zip(group, layout.flags, strict=True))
    return tuple(placed[i] for i in range(len(at)))


def _groups(at: Sequence[float], widths: Sequence[float], low: float, high: float) -> list[list[int]]:
    """Return the marks whose labels could meet on either side, each group in order along the line."""
    reaches = []
    for i, (x, width) in enumerate(zip(at, widths, strict=True)):
        left, right = _span(x, width, True, low, high)[0], _span(x, width, False, low, high)[1]
        reaches.append((left, right, i))
    found: list[list[int]] = []
    edge = -1e9
    for left, right, i in sorted(reaches):
        if left > edge:
            found.append([])
        found[-1].append(i)
        edge = max(edge, right)
    return [sorted(group, key=lambda i: (at[i], i)) for group in found]


def _span(x: float, width: float, is_left: bool, low: float, high: float) -> tuple[float, float]:
    left = x - width if is_left else x
    left = max(low, min(left, high - width))
    return left, left + width


def _best(at: list[float], widths: list[float], low: float, high: float, avoid: Sequence[float]) -> _Layout:
    """Return the cheapest placing found by turning one flag or two neighbours at a time, from good starts."""
    count = len(at)

    def laid(sides: tuple[bool, ...]) -> _Layout:
        return _layout(at, widths, sides, low, high, avoid)

    starts = {
        tuple((i < split) is first for i in range(count)) for split in range(count) for first in (True, False)
    }
    sides = min(sorted(starts), key=lambda start: laid(start).cost)
    best = laid(sides)
    turns = [(i, i) for i in range(count)] + [(i, i + 1) for i in range(count - 1)]
    is_better = count > 1
    while is_better:
        is_better = False
        for first, last in turns:
            turned = tuple(side != (first <= i <= last) for i, side in enumerate(sides))
            trial = laid(turned)
            if trial.cost < best.cost:
                best, sides, is_better = trial, turned, True
    return best


def _layout(
    at: list[float],
    widths: list[float],
    sides: Sequence[bool],
    low: float,
    high: float,
    avoid: Sequence[float],
) -> _Layout:
    spans = [_span(x, width, side, low, high) for x, width, side in zip(at, widths, sides, strict=True)]
    above: list[tuple[int, int]] = []
    for a, b in combinations(range(len(at)), 2):
        a_over_b, b_over_a = _covers(spans[a], at[b]), _covers(spans[b], at[a])
        if b_over_a:
            above.append((a, b))
        if a_over_b:
            above.append((b, a))
        if not (a_over_b or b_over_a) and spans[b][0] < spans[a][1] and spans[a][0] < spans[b][1]:
            above.append((a, b))
    tiers = _tiers(len(at), above)
    crossed = sum(_covers(span, line) for span in spans for line in avoid)
    crossed += sum(_covers(span, x) for span, x in zip(spans, at, strict=True))
    if tiers is None:
        tiers = list(range(len(at)))
        crossed += 100 * len(at)
    cost = 2 * max(tiers) + sum(tiers) / len(at) + _CROSSING_COST * crossed
    return _Layout(cost, tuple(Flag(*span, tier) for span, tier in zip(spans, tiers, strict=True)))


def _covers(span: tuple[float, float], x: float) -> bool:
    return span[0] + _SAME_MM < x < span[1] - _SAME_MM


def _tiers(count: int, above: list[tuple[int, int]]) -> list[int] | None:
    """Return the least tiers with the first of each pair above the second; None where they go in a circle."""
    tiers = [0] * count
    for _ in range(count + 1):
        is_settled = True
        for upper, lower in above:
            if tiers[lower] <= tiers[upper]:
                tiers[lower] = tiers[upper] + 1
                is_settled = False
        if is_settled:
            return tiers
    return None
