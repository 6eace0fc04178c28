"""The small signs the drawings share: balloons, leaders, transducers, arrows.

Plain outlines after general-arrangement practice; none stands for a state.
"""

from __future__ import annotations

from math import cos, hypot, radians, sin

from specapp.drawings.scene import Circle, Line, LineKind, Polyline, Rect, Shape, Text

BALLOON_RADIUS = 3.3
BALLOON_PITCH = 7.4
_TIP_WIDTH, _TIP_LENGTH = 1.3, 1.5


def direction(angle_deg: float) -> tuple[float, float]:
    """Return the unit vector of an angle clockwise from the top, y downward."""
    return sin(radians(angle_deg)), -cos(radians(angle_deg))


def balloon(number: int, x: float, y: float, to: tuple[float, float]) -> tuple[Shape, ...]:
    """Return a numbered circle at (x, y) with a leader that ends in a dot at ``to``."""
    size = 3.2 if number < 100 else 2.6
    return (
        leader((x, y), to, BALLOON_RADIUS),
        Circle(to[0], to[1], 0.35, fill="ink", line="none"),
        Circle(x, y, BALLOON_RADIUS, fill="paper"),
        Text(x, y + size * 0.36, str(number), size, "middle"),
    )


def leader(start: tuple[float, float], end: tuple[float, float], gap: float = 0.0) -> Line:
    """Return a hairline from ``gap`` mm off the start to the end."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length = hypot(dx, dy) or 1.0
    return Line(start[0] + dx / length * gap, start[1] + dy / length * gap, end[0], end[1], "hair")


def probe(x: float, y: float, angle_deg: float, length: float, line: LineKind = "thin") -> tuple[Shape, ...]:
    """Return a probe whose tip face is at (x, y), its body running out at the angle."""
    ux, uy = direction(angle_deg)
    px, py = -uy * _TIP_WIDTH / 2, ux * _TIP_WIDTH / 2
    ex, ey = x + ux * _TIP_LENGTH, y + uy * _TIP_LENGTH
    tip = ((x + px, y + py), (x - px, y - py), (ex - px, ey - py), (ex + px, ey + py))
    return (
        Polyline(tip, closed=True, fill="ink", line="none"),
        Line(ex, ey, x + ux * length, y + uy * length, line),
    )


def element(x: float, y: float) -> tuple[Shape, ...]:
    """Return a temperature element: a ring with a dot."""
    return (Circle(x, y, 0.95, fill="paper"), Circle(x, y, 0.35, fill="ink", line="none"))


def block_sensor(x: float, y: float) -> tuple[Shape, ...]:
    """Return a sensor standing on a surface at (x, y)."""
    return (
        Rect(x - 1.1, y - 2.6, 2.2, 2.0, fill="paper"),
        Line(x, y - 0.6, x, y, "thin"),
        Line(x - 0.8, y, x + 0.8, y, "thin"),
    )


def arrow_head(x: float, y: float, angle_deg: float, size: float = 1.8) -> Polyline:
    """Return a filled arrow head with its point at (x, y), pointing along the angle."""
    ux, uy = direction(angle_deg)
    bx, by = x - ux * size, y - uy * size
    wx, wy = -uy * size * 0.3, ux * size * 0.3
    return Polyline(((x, y), (bx + wx, by + wy), (bx - wx, by - wy)), closed=True, fill="ink", line="none")


def arrow(x1: float, y1: float, x2: float, y2: float, line: LineKind = "thin") -> tuple[Shape, ...]:
    """Return a horizontal or vertical line with a head at its end."""
    upright = 180.0 if y2 > y1 else 0.0
    level = 90.0 if x2 > x1 else 270.0
    angle = upright if x1 == x2 else level
    return (Line(x1, y1, x2, y2, line), arrow_head(x2, y2, angle))
