"""The list of balloons: on the sheet by position, and as a table by point."""

from __future__ import annotations

from specapp.drawings.scene import Balloon, Group, Line, SceneTable, Shape, Text
from specapp.drawings.text_extent import shortened
from specapp.drawings.train import QUANTITY_WORDS, Position

_LINE = 4.3
_TEXT = 2.9
_COLUMN_GAP = 4.0


def balloon_table(positions: tuple[Position, ...]) -> SceneTable:
    """Return the balloon list as text, one row a point."""
    rows = tuple(
        (
            point.key,
            (
                str(position.number),
                point.tag,
                point.title,
                QUANTITY_WORDS.get(point.quantity, point.quantity),
            ),
        )
        for position in positions
        for point in position.points
    )
    return SceneTable(("Balloon", "Tag", "Point", "Quantity"), rows)


def balloons(positions: tuple[Position, ...]) -> tuple[Balloon, ...]:
    """Return every point with the number of the balloon that stands for it."""
    return tuple(
        Balloon(position.number, point.key, point.tag) for position in positions for point in position.points
    )


def list_row(position: Position, x: float, y: float, width: float, size: float) -> Group:
    """Return one line of the list: number, position, and the points it holds."""
    shapes: list[Shape] = [
        Text(x + 5, y, str(position.number), size, "end"),
        Text(x + 7, y, shortened(position.key, size, width - 28), size),
        Line(x, y + 1.1, x + width, y + 1.1, "hair"),
    ]
    if position.legs:
        shapes.append(Text(x + width, y, shortened(position.legs, size, 20), size, "end"))
    return Group(position.key, position.label, tuple(shapes))


def balloon_list(
    positions: tuple[Position, ...], x: float, top: float, width: float, columns: int = 2
) -> tuple[list[Shape], float]:
    """Return the list in columns under its heading, and its lower edge."""
    lines = -(-len(positions) // columns)
    column_width = (width - _COLUMN_GAP * (columns - 1)) / columns
    shapes: list[Shape] = [
        Text(x, top + 3, "Balloons: measuring position, and the points it holds", _TEXT, weight="bold")
    ]
    first = top + 8
    for index, position in enumerate(positions):
        column, line = divmod(index, lines)
        at = x + column * (column_width + _COLUMN_GAP)
        shapes.append(list_row(position, at, first + line * _LINE, column_width, _TEXT))
    return shapes, first + lines * _LINE
