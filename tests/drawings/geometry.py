"""What every scene must hold: labels apart, nothing outside the frame."""

from __future__ import annotations

from math import cos, radians, sin

from specapp.drawings.scene import Arc, Circle, Line, Polyline, Rect, Scene, Text, walk
from specapp.drawings.text_extent import Box, text_box

# Two labels may share an edge; the estimate of a text's width is already on the safe side.
TOUCH_MM = -0.02


def shape_box(shape: object) -> Box:
    if isinstance(shape, Text):
        return text_box(shape)
    if isinstance(shape, Line):
        return _around([(shape.x1, shape.y1), (shape.x2, shape.y2)])
    if isinstance(shape, Rect):
        return _around([(shape.x, shape.y), (shape.x + shape.width, shape.y + shape.height)])
    if isinstance(shape, Polyline):
        return _around(list(shape.points))
    if isinstance(shape, Circle):
        r = shape.radius
        return _around([(shape.x - r, shape.y - r), (shape.x + r, shape.y + r)])
    assert isinstance(shape, Arc)
    angles = [shape.start_deg + shape.sweep_deg * step / 20 for step in range(21)]
    return _around(
        [(shape.x + shape.radius * sin(radians(a)), shape.y - shape.radius * cos(radians(a))) for a in angles]
    )


def _around(points: list[tuple[float, float]]) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def texts(scene: Scene) -> list[Text]:
    return [shape for _, shape in walk(scene.shapes) if isinstance(shape, Text)]


def overlapping_labels(scene: Scene) -> list[tuple[str, str]]:
    boxes = sorted(
        ((text_box(text), text.text) for text in texts(scene) if text.text), key=lambda b: b[0].top
    )
    found = []
    for index, (box, text) in enumerate(boxes):
        for other, other_text in boxes[index + 1 :]:
            if other.top >= box.bottom:
                break
            if box.overlaps(other, TOUCH_MM):
                found.append((text, other_text))
    return found


def clipped_shapes(scene: Scene) -> list[object]:
    return [
        shape for _, shape in walk(scene.shapes) if not shape_box(shape).inside(scene.width, scene.height)
    ]


def assert_sound(scene: Scene) -> None:
    assert overlapping_labels(scene) == [], scene.name
    assert clipped_shapes(scene) == [], scene.name


def struck_labels(scene: Scene) -> list[str]:
    """Labels of a scale or a frequency map that the leader of another mark runs through."""
    shapes = [shape for _, shape in walk(scene.shapes)]
    upright = [shape for shape in shapes if isinstance(shape, Line) and shape.x1 == shape.x2]
    ticks = {(line.x2, line.y2) for line in upright if line.line in ("thin", "thick")}
    leaders = [line for line in upright if line.line == "hair" and (line.x1, line.y1) in ticks]
    found = []
    for text in (shape for shape in shapes if isinstance(shape, Text) and shape.anchor != "middle"):
        box = text_box(text)
        for line in leaders:
            across = box.left < line.x1 < box.right
            if across and line.y1 < box.bottom - 0.1 and line.y2 > box.top + 0.1:
                found.append(text.text)
    return found
