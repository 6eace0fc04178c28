"""The rectangles that shapes take on a drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from specapp.drawings.scene import Arc, Circle, Group, Line, Polyline, Rect, Shape, Text
from specapp.drawings.text_extent import Box, text_box


def shape_box(shape: Shape) -> Box | None:
    """Return the upright rectangle that a shape takes; an arc takes its circle, an empty group nothing."""
    if isinstance(shape, Group):
        return box_around([box for each in shape.shapes if (box := shape_box(each)) is not None])
    if isinstance(shape, Line):
        return _of_points(((shape.x1, shape.y1), (shape.x2, shape.y2)))
    if isinstance(shape, Polyline):
        return _of_points(shape.points)
    if isinstance(shape, Rect):
        return Box(shape.x, shape.y, shape.x + shape.width, shape.y + shape.height)
    if isinstance(shape, Circle | Arc):
        r = shape.radius
        return Box(shape.x - r, shape.y - r, shape.x + r, shape.y + r)
    if isinstance(shape, Text):
        return text_box(shape)
    raise TypeError(f"no extent of a {type(shape).__name__}")


def _of_points(points: Sequence[tuple[float, float]]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def box_around(boxes: Sequence[Box]) -> Box | None:
    """Return the rectangle around others, None around none."""
    if not boxes:
        return None
    return Box(
        min(box.left for box in boxes),
        min(box.top for box in boxes),
        max(box.right for box in boxes),
        max(box.bottom for box in boxes),
    )


def group_boxes(shapes: Sequence[Shape]) -> Iterator[tuple[str, Box]]:
    """Yield key and rectangle of every group, outer ones before those inside them."""
    for shape in shapes:
        if isinstance(shape, Group):
            box = shape_box(shape)
            if box is not None:
                yield shape.key, box
            yield from group_boxes(shape.shapes)
