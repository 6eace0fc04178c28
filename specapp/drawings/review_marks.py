"""Numbered marks of a review on a drawing: a dot or a frame, and the comment's number in a box beside it.

A mark stands in the drawing's own millimetres, so it is at the same place at any zoom and in print.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from specapp.drawings.scene import Arc, Circle, Group, Line, Polyline, Rect, Scene, Shape, Text, walk

MARK_KEY = "comment/"
_BOX_HEIGHT = 4.6
_BOX_CHARACTER = 2.1
_LEADER = 4.0
_DOT = 0.7
_TEXT_MM = 3.2
_STEP = 5.2


@dataclass(frozen=True, slots=True)
class Mark:
    """One comment on a drawing. ``width`` and ``height`` are 0 for a point [mm]."""

    number: int
    x: float
    y: float
    width: float = 0.0
    height: float = 0.0


def with_marks(scene: Scene, marks: Iterable[Mark]) -> Scene:
    """Return the scene with marks drawn over it; boxes that would cover each other are moved apart."""
    taken: list[tuple[float, float]] = []
    groups = tuple(_mark(scene, mark, taken) for mark in marks)
    return replace(scene, shapes=(*scene.shapes, *groups)) if groups else scene


def inside(scene: Scene, mark: Mark) -> Mark:
    """Return the mark brought inside the sheet: a drawing may have become smaller since it was made."""
    x = min(max(mark.x, 0.0), scene.width)
    y = min(max(mark.y, 0.0), scene.height)
    return replace(
        mark, x=x, y=y, width=min(mark.width, scene.width - x), height=min(mark.height, scene.height - y)
    )


def place_of(scene: Scene, key: str) -> tuple[float, float] | None:
    """Return the middle of what a drawing shows of an item [mm], None where it shows nothing of it."""
    group = _group(scene.shapes, key)
    if group is None:
        return None
    corners = [corner for _, shape in walk((group,)) for corner in _corners(shape)]
    if not corners:
        return None
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def _group(shapes: tuple[Shape, ...], key: str) -> Group | None:
    for shape in shapes:
        if isinstance(shape, Group):
            found = shape if shape.key == key else _group(shape.shapes, key)
            if found is not None:
                return found
    return None


def _corners(shape: Shape) -> list[tuple[float, float]]:
    if isinstance(shape, Line):
        return [(shape.x1, shape.y1), (shape.x2, shape.y2)]
    if isinstance(shape, Polyline):
        return list(shape.points)
    if isinstance(shape, Rect):
        return [(shape.x, shape.y), (shape.x + shape.width, shape.y + shape.height)]
    if isinstance(shape, Circle | Arc):
        r = shape.radius
        return [(shape.x - r, shape.y - r), (shape.x + r, shape.y + r)]
    if isinstance(shape, Text):
        return [(shape.x, shape.y)]
    raise TypeError(f"no extent of a {type(shape).__name__}")


def _mark(scene: Scene, mark: Mark, taken: list[tuple[float, float]]) -> Group:
    mark = inside(scene, mark)
    is_frame = mark.width > 0 and mark.height > 0
    width = max(_BOX_CHARACTER * len(str(mark.number)) + 2.2, _BOX_HEIGHT)
    tip_x, tip_y = (mark.x + mark.width, mark.y) if is_frame else (mark.x, mark.y)
    # To the right and above, unless the sheet ends there.
    left = tip_x + _LEADER if tip_x + _LEADER + width < scene.width else tip_x - _LEADER - width
    top = max(tip_y - _LEADER - _BOX_HEIGHT, 0.3)
    while any(abs(left - x) < width + 0.4 and abs(top - y) < _STEP - 0.1 for x, y in taken):
        top += _STEP
        if top + _BOX_HEIGHT > scene.height:
            left, top = left - width - 0.6, 0.3
        if left < 0:
            break
    taken.append((left, top))
    near_x = left if left > tip_x else left + width
    pointer: tuple[Shape, ...] = (
        (Rect(mark.x, mark.y, mark.width, mark.height, line="dash"),)
        if is_frame
        else (Circle(mark.x, mark.y, _DOT, fill="ink"),)
    )
    return Group(
        key=f"{MARK_KEY}{mark.number}",
        label=f"Comment {mark.number}",
        shapes=(
            *pointer,
            Line(tip_x, tip_y, near_x, top + _BOX_HEIGHT / 2, line="thin"),
            Rect(left, top, width, _BOX_HEIGHT, fill="paper", line="thick"),
            Text(
                left + width / 2,
                top + _BOX_HEIGHT / 2 + _TEXT_MM * 0.36,
                str(mark.number),
                size_mm=_TEXT_MM,
                anchor="middle",
                weight="bold",
            ),
        ),
    )
