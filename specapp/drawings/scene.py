"""The shapes a drawing is made of.

Lengths are millimetres on the drawing sheet, x to the right and y downward. Angles are degrees
clockwise from the top, the same convention as the trade's probe angles. A scene knows nothing of
browsers or PDF; whoever paints one draws a white sheet of the scene's size first, then the shapes
in order, later shapes over earlier ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

LineKind = Literal["none", "hair", "thin", "thick", "dash", "chain"]
Fill = Literal["none", "paper", "ink", "hatch"]
Anchor = Literal["start", "middle", "end"]
Weight = Literal["normal", "bold"]

LINE_WIDTH_MM: dict[LineKind, float] = {
    "none": 0.0,
    "hair": 0.13,
    "thin": 0.25,
    "thick": 0.5,
    "dash": 0.25,
    "chain": 0.18,
}
# Dash, gap, ... in mm. "chain" is the draughtsman's centre line: long dash, short dash.
LINE_PATTERN_MM: dict[LineKind, tuple[float, ...]] = {
    "none": (),
    "hair": (),
    "thin": (),
    "thick": (),
    "dash": (1.6, 0.9),
    "chain": (4.0, 0.9, 0.7, 0.9),
}
HATCH_SPACING_MM = 1.1


@dataclass(frozen=True, slots=True)
class Line:
    x1: float
    y1: float
    x2: float
    y2: float
    line: LineKind = "thin"


@dataclass(frozen=True, slots=True)
class Polyline:
    points: tuple[tuple[float, float], ...]
    closed: bool = False
    fill: Fill = "none"
    line: LineKind = "thin"


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle whose (x, y) is its top left corner."""

    x: float
    y: float
    width: float
    height: float
    fill: Fill = "none"
    line: LineKind = "thin"


@dataclass(frozen=True, slots=True)
class Circle:
    x: float
    y: float
    radius: float
    fill: Fill = "none"
    line: LineKind = "thin"


@dataclass(frozen=True, slots=True)
class Arc:
    """Part of a circle, from ``start_deg`` over ``sweep_deg`` (positive clockwise, under 360)."""

    x: float
    y: float
    radius: float
    start_deg: float
    sweep_deg: float
    line: LineKind = "thin"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text on the baseline (x, y); ``rotation`` turns it clockwise about that point."""

    x: float
    y: float
    text: str
    size_mm: float = 3.0
    anchor: Anchor = "start"
    weight: Weight = "normal"
    rotation: float = 0.0


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that stand for one item of the proposal: a point, voting group, shaft, box, relay.

    ``label`` is what a reader hears when the group is reached by keyboard or pointer.
    """

    key: str
    label: str
    shapes: tuple[Shape, ...]


Shape = Line | Polyline | Rect | Circle | Arc | Text | Group


@dataclass(frozen=True, slots=True)
class Balloon:
    """A numbered circle on the drawing and one point it stands for; a number may recur."""

    number: int
    point: str
    tag: str


@dataclass(frozen=True, slots=True)
class SceneTable:
    """The same content as the drawing, in rows of text; each row names the item it is about."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing of ``width`` by ``height`` mm. ``name`` is short, unique among drawings of a machine."""

    name: str
    width: float
    height: float
    title: str
    description: str
    shapes: tuple[Shape, ...]
    table: SceneTable
    balloons: tuple[Balloon, ...] = ()


def walk(shapes: tuple[Shape, ...], key: str = "") -> Iterator[tuple[str, Shape]]:
    """Yield every shape that is not a group with the key of the innermost group around it."""
    for shape in shapes:
        if isinstance(shape, Group):
            yield from walk(shape.shapes, shape.key)
        else:
            yield key, shape
