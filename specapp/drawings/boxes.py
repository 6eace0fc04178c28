"""Boxes with wrapped text and labelled lines between them, for single-line diagrams."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.drawings.scene import Line, LineKind, Rect, Shape, Text
from specapp.drawings.symbols import arrow
from specapp.drawings.text_extent import wrapped

TEXT_SIZE = 2.8
LINE_HEIGHT = 3.7
_PAD = 1.5


@dataclass(frozen=True, slots=True)
class Caption:
    """Text of a box: a bold head and plain lines under it, wrapped to the box."""

    head: str
    body: tuple[str, ...] = ()

    def lines(self, width: float) -> tuple[tuple[str, bool], ...]:
        inner = width - 2 * _PAD
        head = [(line, True) for line in wrapped(self.head, TEXT_SIZE, inner, bold=True)]
        body = [(line, False) for text in self.body for line in wrapped(text, TEXT_SIZE, inner)]
        return (*head, *body)

    def height(self, width: float) -> float:
        return len(self.lines(width)) * LINE_HEIGHT + 2 * _PAD

    @property
    def spoken(self) -> str:
        return ", ".join((self.head, *self.body))


def box(
    caption: Caption,
    x: float,
    middle: float,
    width: float,
    height: float | None = None,
    line: LineKind = "thin",
) -> tuple[Shape, ...]:
    """Return a box centred on the height ``middle`` with its text inside."""
    lines = caption.lines(width)
    tall = max(caption.height(width), height or 0.0)
    first = middle - (len(lines) - 1) * LINE_HEIGHT / 2 + 1.0
    texts = tuple(
        Text(x + width / 2, first + n * LINE_HEIGHT, text, TEXT_SIZE, "middle", "bold" if bold else "normal")
        for n, (text, bold) in enumerate(lines)
    )
    return (Rect(x, middle - tall / 2, width, tall, fill="paper", line=line), *texts)


def cable(caption: str, x1: float, x2: float, y: float) -> tuple[Shape, ...]:
    """Return an arrow from x1 to x2 with its wrapped caption above the line."""
    lines = wrapped(caption, TEXT_SIZE - 0.3, x2 - x1 - 2)
    texts = tuple(
        Text((x1 + x2) / 2 - 0.5, y - 1.2 - (len(lines) - 1 - n) * 3.3, line, TEXT_SIZE - 0.3, "middle")
        for n, line in enumerate(lines)
    )
    return (*arrow(x1, y, x2, y), *texts)


def cable_height(caption: str, width: float) -> float:
    """Return the room a cable's caption needs above its line."""
    return len(wrapped(caption, TEXT_SIZE - 0.3, width - 2)) * 3.3 + 1.5


def trunk(
    x: float, from_y: tuple[float, ...], to_y: tuple[float, ...], before: float, after: float
) -> list[Shape]:
    """Return lines from ``before`` to a vertical at ``x`` and arrows from it to ``after``."""
    shapes: list[Shape] = [Line(before, y, x, y) for y in from_y]
    heights = (*from_y, *to_y)
    if heights and max(heights) > min(heights):
        shapes.append(Line(x, min(heights), x, max(heights)))
    for y in to_y:
        shapes += arrow(x, y, after, y)
    return shapes
