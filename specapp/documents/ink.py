"""Marks on one sheet, written straight as PDF page operators.

A schedule of ten thousand cells is mostly short strings and hairlines. Writing their operators here
instead of through a drawing call each keeps a whole datasheet to a fraction of a second. All
coordinates are points from the lower left corner of the sheet; ink is black.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin, tan
from typing import Final

from specapp.documents.fonts import TEXT, Lettering

HAIRLINE: Final = 0.25
THIN: Final = 0.5
THICK: Final = 1.0

_HATCH_PITCH: Final = 4.0
_CIRCLE: Final = 0.5522847498


class Ink:
    """The operators of one sheet in the order they were asked for."""

    def __init__(self, lettering: Lettering) -> None:
        self.lettering = lettering
        self._strings = lettering.strings
        self._operators: list[str] = []
        self._font: tuple[str, float] | None = None
        self._pen: float | None = None
        self._at: tuple[int, int] | None = None  # start of the last line of an open text object

    def operators(self) -> str:
        self._end_text()
        return "\n".join(self._operators)

    def literal(self, operators: str) -> None:
        """Add finished operators that leave the graphics state as they found it."""
        self._end_text()
        self._operators.append(operators)

    def _end_text(self) -> None:
        if self._at is not None:
            self._operators.append("ET")
            self._at = None

    def text(self, x: float, y: float, line: str, font: str = TEXT, size: float = 7.0) -> None:
        """Set one clean line with its baseline starting at (x, y).

        Lines set one after another share a text object and move by differences of whole tenths of a
        point, which keeps both the time and the file small.
        """
        if not line:
            return
        column, row = round(x * 10), round(y * 10)
        if self._at is None:
            move = f"BT {column / 10} {row / 10} Td"
        else:
            move = f"{(column - self._at[0]) / 10} {(row - self._at[1]) / 10} Td"
        self._at = (column, row)
        for resource, string in self._strings[font][line]:
            if self._font != (resource, size):
                move += f" {resource} {size:g} Tf"
                self._font = (resource, size)
            move += f" {string} Tj"
        self._operators.append(move)

    def text_right(self, x: float, y: float, line: str, font: str = TEXT, size: float = 7.0) -> None:
        self.text(x - self.lettering.width(line, font, size), y, line, font, size)

    def text_centred(self, x: float, y: float, line: str, font: str = TEXT, size: float = 7.0) -> None:
        self.text(x - self.lettering.width(line, font, size) / 2, y, line, font, size)

    def text_turned(
        self, x: float, y: float, line: str, degrees: float, font: str = TEXT, size: float = 7.0
    ) -> None:
        """Set one clean line turned counter-clockwise about its start."""
        self._end_text()
        c, s = cos(radians(degrees)), sin(radians(degrees))
        parts = [f"BT {c:.4f} {s:.4f} {-s:.4f} {c:.4f} {x:.2f} {y:.2f} Tm"]
        for resource, string in self._strings[font][line]:
            parts.append(f"{resource} {size:g} Tf {string} Tj")
            self._font = (resource, size)
        parts.append("ET")
        self._operators.append(" ".join(parts))

    def pen(self, width: float) -> None:
        self._end_text()
        if self._pen != width:
            self._operators.append(f"{width:g} w")
            self._pen = width

    def line(self, x1: float, y1: float, x2: float, y2: float, width: float = HAIRLINE) -> None:
        self.pen(width)
        self._operators.append(f"{x1:.2f} {y1:.2f} m {x2:.2f} {y2:.2f} l S")

    def faint_line(self, x1: float, y: float, x2: float) -> None:
        """Draw the rule between rows: level, and lighter than anything that carries meaning."""
        self.pen(HAIRLINE)
        self._operators.append(f"0.6 G {x1:.2f} {y:.2f} m {x2:.2f} {y:.2f} l S 0 G")

    def rectangle(
        self,
        x: float,
        y: float,
        width: float,
        height: float,
        pen: float = HAIRLINE,
        *,
        blank: bool = False,
        solid: bool = False,
        stroke: bool = True,
    ) -> None:
        """Draw a rectangle: outlined, filled with paper (``blank``) or with ink (``solid``)."""
        self.pen(pen)
        box = f"{x:.2f} {y:.2f} {width:.2f} {height:.2f} re"
        self._operators.append(_painted(box, blank=blank, solid=solid, stroke=stroke))

    def polyline(
        self,
        points: Sequence[tuple[float, float]],
        pen: float = HAIRLINE,
        *,
        closed: bool = False,
        blank: bool = False,
        solid: bool = False,
        stroke: bool = True,
    ) -> None:
        self.pen(pen)
        path = " ".join(f"{x:.2f} {y:.2f} {'l' if i else 'm'}" for i, (x, y) in enumerate(points))
        if closed:
            path += " h"
        self._operators.append(_painted(path, blank=blank, solid=solid, stroke=stroke))

    def path(
        self,
        operators: str,
        pen: float = HAIRLINE,
        *,
        blank: bool = False,
        solid: bool = False,
        stroke: bool = True,
    ) -> None:
        """Draw a path given as PDF path operators."""
        self.pen(pen)
        self._operators.append(_painted(operators, blank=blank, solid=solid, stroke=stroke))

    def circle(
        self,
        x: float,
        y: float,
        radius: float,
        pen: float = HAIRLINE,
        *,
        blank: bool = False,
        solid: bool = False,
        stroke: bool = True,
    ) -> None:
        r, k = radius, radius * _CIRCLE
        self.path(
            f"{x + r:.2f} {y:.2f} m"
            f" {x + r:.2f} {y + k:.2f} {x + k:.2f} {y + r:.2f} {x:.2f} {y + r:.2f} c"
            f" {x - k:.2f} {y + r:.2f} {x - r:.2f} {y + k:.2f} {x - r:.2f} {y:.2f} c"
            f" {x - r:.2f} {y - k:.2f} {x - k:.2f} {y - r:.2f} {x:.2f} {y - r:.2f} c"
            f" {x + k:.2f} {y - r:.2f} {x + r:.2f} {y - k:.2f} {x + r:.2f} {y:.2f} c h",
            pen,
            blank=blank,
            solid=solid,
            stroke=stroke,
        )

    def arc(self, x: float, y: float, radius: float, start: float, end: float, pen: float = HAIRLINE) -> None:
        """Draw a circular arc from start to end [deg], counter-clockwise from the x axis."""
        pieces = max(1, int(abs(end - start) / 90 - 1e-9) + 1)
        step = radians((end - start) / pieces)
        k = 4 / 3 * tan(step / 4)
        angle = radians(start)
        parts = [f"{x + radius * cos(angle):.2f} {y + radius * sin(angle):.2f} m"]
        for _ in range(pieces):
            after = angle + step
            c0, s0, c1, s1 = cos(angle), sin(angle), cos(after), sin(after)
            parts.append(
                f"{x + radius * (c0 - k * s0):.2f} {y + radius * (s0 + k * c0):.2f}"
                f" {x + radius * (c1 + k * s1):.2f} {y + radius * (s1 - k * c1):.2f}"
                f" {x + radius * c1:.2f} {y + radius * s1:.2f} c"
            )
            angle = after
        self.path(" ".join(parts), pen)

    def hatch(self, x: float, y: float, width: float, height: float) -> None:
        """Hatch a rectangle with hairlines rising to the right; text set later stays readable."""
        parts = []
        offset = _HATCH_PITCH / 2
        while offset < width + height:
            x1, y1 = (x + offset, y) if offset <= width else (x + width, y + offset - width)
            x2, y2 = (x, y + offset) if offset <= height else (x + offset - height, y + height)
            parts.append(f"{x1:.1f} {y1:.1f} m {x2:.1f} {y2:.1f} l")
            offset += _HATCH_PITCH
        self.pen(0.15)
        self._operators.append(f"0.5 G {' '.join(parts)} S 0 G")

    def dashed(self, pattern: str) -> None:
        """Set the dash pattern, "3 2"; an empty pattern is a full line again."""
        self.literal(f"[{pattern}] 0 d")

    def save(self) -> None:
        self.literal("q")

    def restore(self) -> None:
        """Return to the graphics state of the matching `save`."""
        self.literal("Q")
        self._font = None
        self._pen = None


def _painted(path: str, *, blank: bool, solid: bool, stroke: bool) -> str:
    if not (blank or solid):
        return f"{path} S" if stroke else f"{path} n"
    paint = "B" if stroke else "f"
    return f"1 g {path} {paint} 0 g" if blank else f"{path} {paint}"
