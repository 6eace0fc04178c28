"""Letters on a sketch that lead to its notes, kept apart from each other."""

from __future__ import annotations

from specapp.drawings.placing import Occupied
from specapp.drawings.scene import Circle, Shape, Text
from specapp.drawings.symbols import direction, leader
from specapp.drawings.text_extent import text_box

_TALL = 1000.0  # mm; a sketch grows downward as it is drawn


class Letters:
    """Letters of dimensions: each at its place, or beside it on a leader where that place is taken."""

    def __init__(self, width_mm: float) -> None:
        self._occupied = Occupied(width_mm, _TALL)
        self.shapes: list[Shape] = []

    def add(self, x: float, y: float, letter: str, size: float = 3.0) -> None:
        places = [(x, y)]
        places += [
            (x + ux * reach, y + uy * reach)
            for reach in (3.5, 5.5, 8.0, 11.0, 14.0)
            for ux, uy in (direction(step * 30.0 + 45.0) for step in range(12))
        ]
        candidates = [Text(px, py + size * 0.36, letter, size, "middle", "bold") for px, py in places]
        text = self._occupied.first_free(candidates)
        if text is None:
            return
        middle = text.y - size * 0.36
        if (text.x, middle) != (x, y):
            self.shapes.append(leader((x, y), (text.x, middle)))
        self.shapes.append(Circle(text.x, middle, size * 0.7, fill="paper", line="none"))
        self.shapes.append(text)

    def keep_clear(self, text: Text) -> Text:
        self._occupied.take(text_box(text))
        return text
