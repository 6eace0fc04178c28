"""Revision clouds: what a revision changes on a drawing, each with a triangle that names the revision.

The cloud is drawn around what the drawing shows of an item; clouds that would cross become one. A
drawing that the revision does not change has none.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from math import atan2, degrees, hypot

from specapp.drawings.extent import box_around, group_boxes
from specapp.drawings.scene import Arc, Group, Polyline, Scene, Shape, Text
from specapp.drawings.text_extent import Box, text_width_mm

CLOUD_KEY = "revision/"
_AIR = 1.6  # between what has changed and the inside of the cloud
_LOBE = 3.2  # wanted length of a lobe along the side
_BULGE = 0.85  # how far a lobe stands out; its arc is then flatter than half a circle
_ROW = 5.0  # what is no higher is a row among rows: its cloud keeps off the rows beside it
_ROW_AIR = 0.1
_ROW_LOBE = 1.8
_ROW_BULGE = 0.4
_TRIANGLE = 6.4
_LETTER = 2.6
_LARGEST = 0.6  # of the drawing's area; what is larger names the drawing as a whole
_MOST_CLOUDS = 60


@dataclass(frozen=True, slots=True)
class _Cloud:
    box: Box
    items: tuple[str, ...]
    is_row: bool


def with_clouds(scene: Scene, changed: Collection[str], label: str) -> Scene:
    """Return the scene with a cloud around everything that shows an item that has changed.

    ``changed`` holds keys of groups; ``label`` is the revision. The drawing keeps its size.
    """
    clouds = _clouds(scene, changed)
    if not clouds:
        return scene
    taken: list[Box] = []
    groups = tuple(_drawn(scene, cloud, label, taken) for cloud in clouds)
    return replace(scene, shapes=(*scene.shapes, *groups))


def _clouds(scene: Scene, changed: Collection[str]) -> list[_Cloud]:
    limit = _LARGEST * scene.width * scene.height
    found = []
    for key, box in group_boxes(scene.shapes):
        area = (box.right - box.left) * (box.bottom - box.top)
        is_row = box.bottom - box.top <= _ROW < box.right - box.left
        around = _inside(scene, _wider(box, _ROW_AIR if is_row else _AIR))
        if key in changed and area <= limit and around.left < around.right and around.top < around.bottom:
            found.append(_Cloud(around, (key,), is_row))
    return _merged(found[: 4 * _MOST_CLOUDS])[:_MOST_CLOUDS]


def _wider(box: Box, by: float) -> Box:
    return Box(box.left - by, box.top - by, box.right + by, box.bottom + by)


def _inside(scene: Scene, box: Box) -> Box:
    edge = _BULGE + 0.3
    return Box(
        max(box.left, edge),
        max(box.top, edge),
        min(box.right, scene.width - edge),
        min(box.bottom, scene.height - edge),
    )


def _merged(clouds: list[_Cloud]) -> list[_Cloud]:
    """Return the clouds with those that touch made one, until none touches another."""
    kept: list[_Cloud] = []
    for cloud in clouds:
        while True:
            near = 2 * _ROW_BULGE if cloud.is_row else 2 * _BULGE
            touching = next((each for each in kept if each.box.overlaps(cloud.box, near)), None)
            if touching is None:
                break
            kept.remove(touching)
            around = box_around((touching.box, cloud.box))
            assert around is not None
            items = tuple(dict.fromkeys((*touching.items, *cloud.items)))
            cloud = _Cloud(around, items, touching.is_row and cloud.is_row)
        kept.append(cloud)
    return kept


def _drawn(scene: Scene, cloud: _Cloud, label: str, taken: list[Box]) -> Group:
    box = cloud.box
    corners = [
        (box.left, box.top),
        (box.right, box.top),
        (box.right, box.bottom),
        (box.left, box.bottom),
    ]
    size = (_ROW_LOBE, _ROW_BULGE) if cloud.is_row else (_LOBE, _BULGE)
    lobes: list[Shape] = []
    for (x1, y1), (x2, y2) in zip(corners, [*corners[1:], corners[0]], strict=True):
        lobes += _side(x1, y1, x2, y2, *size)
    named = ", ".join(cloud.items[:4])
    more = len(cloud.items) - 4
    return Group(
        key=f"{CLOUD_KEY}{label}",
        label=f"Changed in revision {label}: {named}{f' and {more} more' if more > 0 else ''}",
        shapes=(*lobes, *_triangle(scene, cloud, label, taken)),
    )


def _side(x1: float, y1: float, x2: float, y2: float, lobe: float, most: float) -> list[Shape]:
    """Return the lobes along one side; the corners are gone round clockwise, so that they bulge outward."""
    length = hypot(x2 - x1, y2 - y1)
    count = max(1, round(length / lobe))
    half = length / count / 2
    bulge = min(most, half)
    radius = (half * half + bulge * bulge) / (2 * bulge)
    along_x, along_y = (x2 - x1) / length, (y2 - y1) / length
    # Outward is to the left of the way, with y downward.
    out_x, out_y = along_y, -along_x
    inward = radius - bulge
    lobes: list[Shape] = []
    for index in range(count):
        middle = (2 * index + 1) * half
        x = x1 + along_x * middle - out_x * inward
        y = y1 + along_y * middle - out_y * inward
        start = _degrees(x1 + along_x * (middle - half) - x, y1 + along_y * (middle - half) - y)
        end = _degrees(x1 + along_x * (middle + half) - x, y1 + along_y * (middle + half) - y)
        lobes.append(Arc(x, y, radius, start, (end - start) % 360, "thin"))
    return lobes


def _degrees(dx: float, dy: float) -> float:
    """Return a direction in degrees clockwise from the top."""
    return degrees(atan2(dx, -dy)) % 360


def _triangle(scene: Scene, cloud: _Cloud, label: str, taken: list[Box]) -> tuple[Shape, ...]:
    """Return the triangle with the revision's number, beside a row or at a corner where there is room."""
    box = cloud.box
    width = max(_TRIANGLE, text_width_mm(label, _LETTER, bold=True) * 1.9)
    height = width * 0.88
    beside = (box.right + _ROW_BULGE + 0.2, (box.top + box.bottom - height) / 2)
    places = [
        *([beside] if cloud.is_row else []),
        (box.right - width * 0.3, box.top - height - _BULGE),
        (box.right - width * 0.3, box.bottom + _BULGE),
        (box.left - width * 0.7, box.top - height - _BULGE),
        (box.left - width * 0.7, box.bottom + _BULGE),
    ]
    chosen = None
    for left, top in places:
        area = Box(left, top, left + width, top + height)
        if area.inside(scene.width, scene.height) and not any(area.overlaps(each) for each in taken):
            chosen = area
            break
    if chosen is None:
        left = min(max(places[0][0], 0.3), scene.width - width - 0.3)
        top = min(max(places[0][1], 0.3), scene.height - height - 0.3)
        chosen = Box(left, top, left + width, top + height)
    taken.append(chosen)
    middle = (chosen.left + chosen.right) / 2
    return (
        Polyline(
            ((middle, chosen.top), (chosen.right, chosen.bottom), (chosen.left, chosen.bottom)),
            closed=True,
            fill="paper",
            line="thick",
        ),
        Text(middle, chosen.bottom - height * 0.14, label, _LETTER, "middle", "bold"),
    )
