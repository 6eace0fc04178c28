"""Leaders from labels in a column to discs beside it: in an order, and to points, that keep them apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, permutations
from math import hypot

from specapp.drawings.symbols import direction

Point = tuple[float, float]
Segment = tuple[Point, Point]

_RIM_STEPS = 72
_CLEARANCE = 0.6
_ORDERS = 60
_ON_RIM = 0.05


@dataclass(frozen=True, slots=True)
class Disc:
    """A round outline that a leader ends on, and that no other leader may pass through."""

    name: str
    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class Column:
    """Discs in the order of their labels, where each leader starts and ends, and how many are at fault."""

    order: tuple[Disc, ...]
    starts: tuple[Point, ...]
    ends: tuple[Point, ...]
    faults: int


def crossing(one: Segment, other: Segment) -> bool:
    """Return whether two stretches of line cross; those that share an end do not."""
    (a, b), (c, d) = one, other
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _turn(a: Point, b: Point, c: Point) -> float:
    turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return turn if abs(turn) > 1e-9 else 0.0


def distance(point: Point, segment: Segment) -> float:
    """Return the distance of a point from a stretch of line."""
    (x1, y1), (x2, y2) = segment
    dx, dy = x2 - x1, y2 - y1
    along = ((point[0] - x1) * dx + (point[1] - y1) * dy) / (dx * dx + dy * dy or 1.0)
    along = min(max(along, 0.0), 1.0)
    return hypot(x1 + along * dx - point[0], y1 + along * dy - point[1])


def best_column(
    members: Sequence[Disc],
    discs: Sequence[Disc],
    starts: Callable[[Sequence[Disc]], Sequence[Point]],
) -> Column:
    """Return the order of labels nearest the given one whose leaders are all clear, else the least bad.

    A leader is at fault where it passes through a disc that is not its own or crosses another of its
    column. ``members`` come in the order they would stand in by themselves; ``starts`` tells where the
    leaders of an order begin.
    """
    best: Column | None = None
    for order in _orders(members):
        found = _joined(order, discs, starts(order))
        if best is None or found.faults < best.faults:
            best = found
        if not best.faults:
            break
    return best or Column((), (), (), 0)


def _orders(members: Sequence[Disc]) -> Iterator[tuple[Disc, ...]]:
    """Yield orders by how little they move; with few members all of them."""
    numbers = range(len(members))
    moved = sorted(permutations(numbers), key=lambda p: sum(abs(at - n) for at, n in enumerate(p)))
    for order in islice(moved, _ORDERS):
        yield tuple(members[number] for number in order)


def _joined(order: tuple[Disc, ...], discs: Sequence[Disc], starts: Sequence[Point]) -> Column:
    ends: list[Point] = []
    faults = 0
    for disc, start in zip(order, starts, strict=True):
        before = list(zip(starts, ends, strict=False))
        reached = _ends(disc, discs, start)
        apart = [end for end in reached if not any(crossing((start, end), line) for line in before)]
        faults += not apart
        ends.append(apart[0] if apart else reached[0] if reached else _least_hidden(disc, discs, start))
    return Column(order, tuple(starts), tuple(ends), faults)


def _ends(disc: Disc, discs: Sequence[Disc], start: Point) -> list[Point]:
    """Return the points of the rim that a leader reaches past every other disc, nearest first."""
    others = [other for other in discs if other.name != disc.name]
    clear = [
        end
        for end in _facing(disc, start)
        if all(distance((other.x, other.y), (start, end)) >= other.radius + _CLEARANCE for other in others)
    ]
    return sorted(clear, key=lambda end: hypot(end[0] - start[0], end[1] - start[1]))


def _facing(disc: Disc, start: Point) -> Iterator[Point]:
    """Yield the points of the rim seen from the start."""
    for step in range(_RIM_STEPS):
        ux, uy = direction(step * 360.0 / _RIM_STEPS)
        end = (disc.x + ux * disc.radius, disc.y + uy * disc.radius)
        if (start[0] - end[0]) * ux + (start[1] - end[1]) * uy >= 0:
            yield end


def _least_hidden(disc: Disc, discs: Sequence[Disc], start: Point) -> Point:
    """Return where to lead to a disc that lies behind others."""

    def passed(end: Point) -> tuple[int, float]:
        others = [other for other in discs if other.name != disc.name]
        through = sum(distance((o.x, o.y), (start, end)) < o.radius - _ON_RIM for o in others)
        return through, hypot(end[0] - start[0], end[1] - start[1])

    return min(_facing(disc, start), key=passed)
