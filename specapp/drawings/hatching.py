"""Hatching as plain lines, so that every painter draws the same and needs no patterns or clipping."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, floor, pi, sin

from specapp.drawings.scene import HATCH_SPACING_MM, Circle, Line, Polyline, Rect

_CIRCLE_SIDES = 48


def outline(shape: Rect | Circle | Polyline) -> tuple[tuple[float, float], ...]:
    """Return the corners of a closed shape; a circle as a polygon of 48 sides."""
    if isinstance(shape, Polyline):
        return shape.points
    if isinstance(shape, Rect):
        right, bottom = shape.x + shape.width, shape.y + shape.height
        return ((shape.x, shape.y), (right, shape.y), (right, bottom), (shape.x, bottom))
    angles = [2 * pi * side / _CIRCLE_SIDES for side in range(_CIRCLE_SIDES)]
    return tuple((shape.x + shape.radius * cos(a), shape.y + shape.radius * sin(a)) for a in angles)


def hatch_lines(shape: Rect | Circle | Polyline, spacing_mm: float = HATCH_SPACING_MM) -> tuple[Line, ...]:
    """Return lines rising to the right at 45 degrees that fill a closed shape (even-odd rule).

    Every line lies on x + y = k * spacing of the whole sheet, so neighbouring shapes hatch as one.
    """
    corners = outline(shape)
    step = spacing_mm * 2**0.5
    sums = [x + y for x, y in corners]
    lines: list[Line] = []
    for k in range(floor(min(sums) / step) + 1, floor(max(sums) / step) + 1):
        crossings = sorted(_crossings(corners, k * step))
        for start, end in zip(crossings[::2], crossings[1::2], strict=False):
            if end - start > 1e-6:
                lines.append(Line(start, k * step - start, end, k * step - end, "hair"))
    return tuple(lines)


def _crossings(corners: Sequence[tuple[float, float]], total: float) -> list[float]:
    """Return the x at which the outline meets the line x + y = total."""
    found = []
    for (x1, y1), (x2, y2) in zip(corners, [*corners[1:], corners[0]], strict=True):
        before, after = x1 + y1 - total, x2 + y2 - total
        if (before < 0) != (after < 0):
            found.append(x1 + (x2 - x1) * before / (before - after))
    return found
