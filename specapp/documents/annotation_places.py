"""From a rectangle on an issued sheet to what stands there: a row of a schedule, or a place on a drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from specapp.documents.annotations import Remark
from specapp.documents.place_index import RowPlace, ScenePlace, SheetPlaces, covered
from specapp.documents.sheet import Frame

_MOST_OF_A_ROW: Final = 0.5
_BESIDE: Final = 80.0  # pt; a note in the margin belongs to the row beside it
_MOST_FURTHER: Final = 6


@dataclass(frozen=True, slots=True)
class Spotted:
    """What a remark points at.

    ``item`` and ``field`` are empty where only the sheet is known. ``further`` are items that it covers as
    well. On a drawing ``scene`` names it, with the place in its millimetres; a point has no size.
    """

    item: str = ""
    field: str = ""
    further: tuple[str, ...] = ()
    scene: str = ""
    scene_size: tuple[float, float] = (0.0, 0.0)
    x_mm: float = 0.0
    y_mm: float = 0.0
    width_mm: float = 0.0
    height_mm: float = 0.0


def spotted(remark: Remark, sheets: Sequence[SheetPlaces]) -> Spotted:
    """Return what a remark points at, by the index of the document as it was issued."""
    if not 1 <= remark.sheet <= len(sheets):
        return Spotted()
    places = sheets[remark.sheet - 1]
    frame = remark.frame
    x, y = (frame.left + frame.right) / 2, (frame.bottom + frame.top) / 2
    for scene in places.scenes:
        if scene.holds(x, y):
            return _on_drawing(scene, remark)
    return _in_table(places.rows, frame, y)


def _on_drawing(scene: ScenePlace, remark: Remark) -> Spotted:
    frame = remark.frame
    left, top = scene.at(frame.left, frame.top)
    right, bottom = scene.at(frame.right, frame.bottom)
    middle = ((left + right) / 2, (top + bottom) / 2)
    item = _item_at(scene, *middle)
    if remark.is_point:
        (x, y), width, height = middle, 0.0, 0.0
    else:
        x, y = max(left, 0.0), max(top, 0.0)
        width, height = min(right, scene.width) - x, min(bottom, scene.height) - y
    return Spotted(
        item=item,
        scene=scene.name,
        scene_size=(scene.width, scene.height),
        x_mm=round(x, 2),
        y_mm=round(y, 2),
        width_mm=round(width, 2),
        height_mm=round(height, 2),
    )


def _item_at(scene: ScenePlace, x: float, y: float) -> str:
    """Return the item of the smallest group around a point of the drawing."""
    around = [g for g in scene.groups if g.left <= x <= g.right and g.top <= y <= g.bottom]
    if not around:
        return ""
    return min(around, key=lambda g: (g.right - g.left) * (g.bottom - g.top)).item


def _in_table(rows: Sequence[RowPlace], frame: Frame, y: float) -> Spotted:
    whole = [row for row in rows if not row.field and row.item]
    touched = covered(whole, frame)
    if touched:
        most = max(touched, key=lambda pair: pair[1])[0]
        full = [row.item for row, share in touched if share >= _MOST_OF_A_ROW]
        item = full[0] if len(full) > 1 else most.item
        further = tuple(dict.fromkeys(each for each in full if each != item))[:_MOST_FURTHER]
        return Spotted(item, "" if further else _field(rows, item, frame), further)
    near = [
        row
        for row in whole
        if row.bottom <= y <= row.top and max(row.left - frame.right, frame.left - row.right) <= _BESIDE
    ]
    return Spotted(near[0].item) if near else Spotted()


def _field(rows: Sequence[RowPlace], item: str, frame: Frame) -> str:
    """Return the field whose cell holds most of the rectangle's width, empty where none does."""
    width = max(frame.right - frame.left, 0.1)
    for row, share in covered([row for row in rows if row.field and row.item == item], frame):
        across = min(row.right, frame.right) - max(row.left, frame.left)
        if across >= _MOST_OF_A_ROW * width and share > 0:
            return row.field
    return ""
