"""Paint a drawing's scene on a sheet: the same shapes the browser shows, as vectors and real text."""

from __future__ import annotations

from math import cos, radians, sin
from typing import Final

from specapp.documents.book import Book
from specapp.documents.clouds import clouded
from specapp.documents.fonts import BOLD, TEXT
from specapp.documents.ink import Ink
from specapp.documents.options import PageSize
from specapp.documents.place_index import GroupPlace, ScenePlace
from specapp.documents.sheet import MM, Frame, Sheet
from specapp.drawings.extent import group_boxes
from specapp.drawings.hatching import hatch_lines
from specapp.drawings.scene import (
    LINE_PATTERN_MM,
    LINE_WIDTH_MM,
    Arc,
    Circle,
    Line,
    LineKind,
    Polyline,
    Rect,
    Scene,
    Text,
    walk,
)

_LEAST_PEN: Final = 0.2
_TITLE: Final = 24.0  # height of the title set above a scene
_OVERHEAD: Final = 46.0  # what a sheet holds above a scene: the section's name and the title


def fitting_scale(scene: Scene, width: float, height: float) -> float:
    """Return points per scene millimetre so that the scene fits; never larger than life on paper."""
    return min(width / scene.width, height / scene.height, MM)


def suits_landscape(scene: Scene, size: PageSize) -> bool:
    """Return whether a scene is larger on a landscape sheet than on an upright one."""
    bodies = [Sheet.of(size, landscape=landscape).body for landscape in (True, False)]
    wide, upright = (fitting_scale(scene, body.width, body.height - _OVERHEAD) for body in bodies)
    return wide >= upright


def landscape_room_mm(size: PageSize) -> tuple[float, float]:
    """Return the width and height that a scene has on a landscape sheet."""
    body = Sheet.of(size, landscape=True).body
    return body.width / MM, (body.height - _OVERHEAD) / MM


def set_scene(book: Book, scene: Scene) -> None:
    """Set a scene where it fits almost as large as on a sheet of its own, else on the next sheet.

    What the revision changes on it is clouded; where it stands is kept with an issued sheet.
    """
    frame = book.frame
    largest = fitting_scale(scene, frame.width, frame.height - _TITLE)
    if fitting_scale(scene, frame.width, max(book.room - _TITLE, 1.0)) < 0.85 * largest:
        book.next_frame()
    book.heading(scene.title, with_next=0)
    frame = Frame(book.frame.left, book.frame.bottom, book.frame.right, book.y)
    if book.options.code:
        book.places.scenes.append(_place(scene, frame))
    book.space(paint_scene(book.ink, clouded(scene, book.options.changes), frame) + 10)


def _place(scene: Scene, frame: Frame) -> ScenePlace:
    """Return where a scene stands and what it shows where, for whoever points at it in a copy."""
    scale = fitting_scale(scene, frame.width, frame.height)
    groups = tuple(
        GroupPlace(round(box.left, 1), round(box.top, 1), round(box.right, 1), round(box.bottom, 1), key)
        for key, box in group_boxes(scene.shapes)
    )
    left = round(_left(scene, frame, scale), 2)
    return ScenePlace(
        scene.name, left, round(frame.top, 2), round(scale, 5), scene.width, scene.height, groups
    )


def _left(scene: Scene, frame: Frame, scale: float) -> float:
    return frame.left + (frame.width - scene.width * scale) / 2


def paint_scene(ink: Ink, scene: Scene, frame: Frame) -> float:
    """Paint a scene centred at the top of a frame; return the height it took [pt]."""
    scale = fitting_scale(scene, frame.width, frame.height)
    ink.save()
    painter = _Painter(ink, scale, _left(scene, frame, scale), frame.top)
    for _, shape in walk(scene.shapes):
        painter.paint(shape)
    ink.restore()
    return scene.height * scale


class _Painter:
    def __init__(self, ink: Ink, scale: float, left: float, top: float) -> None:
        self.ink = ink
        self.scale = scale
        self.left = left
        self.top = top
        self.pattern: LineKind = "thin"

    def at(self, x: float, y: float) -> tuple[float, float]:
        return self.left + x * self.scale, self.top - y * self.scale

    def pen(self, line: LineKind) -> float:
        """Set the dash pattern of a line and return its width [pt]."""
        if LINE_PATTERN_MM[line] != LINE_PATTERN_MM[self.pattern]:
            self.ink.dashed(" ".join(f"{part * self.scale:.2f}" for part in LINE_PATTERN_MM[line]))
        self.pattern = line
        return max(LINE_WIDTH_MM[line] * self.scale, _LEAST_PEN)

    def paint(self, shape: object) -> None:
        ink = self.ink
        if isinstance(shape, Line):
            if shape.line != "none":
                pen = self.pen(shape.line)
                ink.line(*self.at(shape.x1, shape.y1), *self.at(shape.x2, shape.y2), pen)
        elif isinstance(shape, Arc):
            x, y = self.at(shape.x, shape.y)
            # Clockwise from the top becomes counter-clockwise from the x axis.
            start = 90 - shape.start_deg
            ink.arc(x, y, shape.radius * self.scale, start, start - shape.sweep_deg, self.pen(shape.line))
        elif isinstance(shape, Text):
            self.text(shape)
        elif isinstance(shape, Rect | Circle | Polyline):
            self.area(shape)
        else:
            raise TypeError(f"no way to paint a {type(shape).__name__}")

    def area(self, shape: Rect | Circle | Polyline) -> None:
        if shape.fill == "hatch":
            self.outline(shape, blank=True, line="none")
            for stroke in hatch_lines(shape):
                pen = self.pen(stroke.line)
                self.ink.line(*self.at(stroke.x1, stroke.y1), *self.at(stroke.x2, stroke.y2), pen)
            self.outline(shape, line=shape.line)
        else:
            self.outline(shape, blank=shape.fill == "paper", solid=shape.fill == "ink", line=shape.line)

    def outline(
        self, shape: Rect | Circle | Polyline, *, line: LineKind, blank: bool = False, solid: bool = False
    ) -> None:
        stroke = line != "none"
        if not (stroke or blank or solid):
            return
        pen = self.pen(line if stroke else "thin")
        if isinstance(shape, Rect):
            width, height = shape.width * self.scale, shape.height * self.scale
            x, y = self.at(shape.x, shape.y)
            self.ink.rectangle(x, y - height, width, height, pen, blank=blank, solid=solid, stroke=stroke)
        elif isinstance(shape, Circle):
            x, y = self.at(shape.x, shape.y)
            self.ink.circle(x, y, shape.radius * self.scale, pen, blank=blank, solid=solid, stroke=stroke)
        else:
            points = [self.at(x, y) for x, y in shape.points]
            self.ink.polyline(points, pen, closed=shape.closed, blank=blank, solid=solid, stroke=stroke)

    def text(self, shape: Text) -> None:
        ink = self.ink
        font = BOLD if shape.weight == "bold" else TEXT
        line = ink.lettering.clean(shape.text).replace("\n", " ")
        size = round(shape.size_mm * self.scale, 2)
        width = ink.lettering.width(line, font, size)
        back = {"start": 0.0, "middle": width / 2, "end": width}[shape.anchor]
        x, y = self.at(shape.x, shape.y)
        if shape.rotation:
            turn = radians(-shape.rotation)
            ink.text_turned(x - back * cos(turn), y - back * sin(turn), line, -shape.rotation, font, size)
        else:
            ink.text(x - back, y, line, font, size)
