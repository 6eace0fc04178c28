"""The labels of the view from the driver: in a column on either side, each with a leader to its shaft."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from specapp.domain.display import with_unit
from specapp.drawings.leaders import Column, Disc, Point, best_column
from specapp.drawings.placing import spread
from specapp.drawings.scene import Circle, Group, Line, Shape, Text, Weight
from specapp.drawings.symbols import leader
from specapp.drawings.text_extent import shortened
from specapp.drawings.train import BULL_GEAR, Train, probe_directions, speed_text

WIDTH = 36.0
_LINE_HEIGHT = 3.7
_BETWEEN = 2.5
_TEXT = 2.9
_OFF = 0.8
# How far below its axis, in radii, the bull gear would have its label: clear of its centre lines.
_GEAR_LABEL = 0.75


@dataclass(frozen=True, slots=True)
class Labels:
    """Two columns of labels about the gear axis at (0, 0), and the room they take above and below it."""

    columns: tuple[Column, Column]
    above: float
    below: float

    @property
    def faults(self) -> int:
        return sum(column.faults for column in self.columns)


def arranged(train: Train, gear: Disc, pinions: Sequence[Disc], reach: float) -> Labels:
    """Return the labels of the bull gear and the pinions, ``reach`` mm to either side of the axis.

    The gear's label stands in the emptier column, or in the other where only there every leader is clear.
    """
    sides: tuple[list[Disc], list[Disc]] = ([], [])
    for disc in pinions:
        upright = abs(disc.x) <= 0.5
        right = len(sides[1]) <= len(sides[0]) if upright else disc.x > 0
        sides[1 if right else 0].append(disc)
    emptier = 0 if len(sides[0]) <= len(sides[1]) else 1
    first = _labels(train, gear, pinions, reach, sides, emptier)
    if not first.faults:
        return first
    other = _labels(train, gear, pinions, reach, sides, 1 - emptier)
    return other if other.faults < first.faults else first


def _labels(
    train: Train,
    gear: Disc,
    pinions: Sequence[Disc],
    reach: float,
    sides: tuple[list[Disc], list[Disc]],
    gear_side: int,
) -> Labels:
    members = [[*side, gear] if number == gear_side else side for number, side in enumerate(sides)]
    discs = [gear, *pinions]
    above = max(disc.radius - disc.y for disc in discs) + 3
    below = max(disc.radius + disc.y for disc in discs) + 3
    tallest = max(sum(_height(train, disc) for disc in side) for side in members)
    below = max(below, tallest - above)

    def column(number: int) -> Column:
        edge = (reach - _OFF) * (1 if number else -1)

        def starts(order: Sequence[Disc]) -> list[Point]:
            heights = [_height(train, disc) for disc in order]
            middles = spread([_wanted_y(disc) for disc in order], heights, -above, below)
            return [(edge, middle) for middle in middles]

        return best_column(sorted(members[number], key=lambda d: (_wanted_y(d), d.name)), discs, starts)

    return Labels((column(0), column(1)), above, below)


def _height(train: Train, disc: Disc) -> float:
    return len(_facts(train, disc.name)) * _LINE_HEIGHT + _BETWEEN


def _wanted_y(disc: Disc) -> float:
    return disc.y + (disc.radius * _GEAR_LABEL if disc.name == BULL_GEAR else 0.0)


def drawn(train: Train, labels: Labels, centre: Point) -> list[Group]:
    """Return the labels with their leaders about the axis of the bull gear on the sheet."""
    return [
        _label(disc.name, _facts(train, disc.name), _moved(start, centre), _moved(end, centre), bool(number))
        for number, column in enumerate(labels.columns)
        for disc, start, end in zip(column.order, column.starts, column.ends, strict=True)
    ]


def _moved(point: Point, by: Point) -> Point:
    return point[0] + by[0], point[1] + by[1]


def _label(name: str, lines: tuple[str, ...], start: Point, end: Point, right_side: bool) -> Group:
    edge, middle = start
    first = middle - (len(lines) - 1) * _LINE_HEIGHT / 2
    shapes: list[Shape] = [leader(start, end), Circle(*end, 0.35, fill="ink", line="none")]
    shapes.append(Line(edge, first - 2.2, edge, first + (len(lines) - 1) * _LINE_HEIGHT + 1.2, "hair"))
    at = edge + (_OFF + 1 if right_side else -_OFF - 1)
    for number, line in enumerate(lines):
        weight: Weight = "bold" if number == 0 else "normal"
        text = shortened(line, _TEXT, WIDTH - 1, bold=number == 0)
        y = first + number * _LINE_HEIGHT + 1.0
        shapes.append(Text(at, y, text, _TEXT, "start" if right_side else "end", weight))
    return Group(name, ", ".join(lines), tuple(shapes))


def _facts(train: Train, shaft: str) -> tuple[str, ...]:
    line = train.shaft(shaft)
    if line is None:
        return (shaft,)
    if shaft == BULL_GEAR:
        turning = {"clockwise": "clockwise", "counter_clockwise": "counter-clockwise"}
        return ("Bull gear BG", speed_text(line), turning.get(train.rotation or "", "rotation not given"))
    pinion = train.pinion(shaft)
    facts = [f"{shaft}, {line.maker_name}" if line.maker_name else shaft, speed_text(line)]
    if pinion is not None and pinion.position_angle_deg is not None:
        facts.append("at " + with_unit(pinion.position_angle_deg, "deg"))
    else:
        facts.append("angle not given")
    probes = [f"{letter} {with_unit(angle, 'deg')}" for letter, angle in probe_directions(train, shaft)]
    if probes:
        facts.append("probes " + ", ".join(probes))
    return tuple(facts)
