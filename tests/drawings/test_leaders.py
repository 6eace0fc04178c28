"""Leaders of the general arrangement: none crosses another, a balloon, a label or another's impeller."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import Any, NamedTuple

import pytest

from specapp.drawings.leaders import Disc, best_column, crossing, distance
from specapp.drawings.machine_layout import layout_scene, shaft_names, shaft_scene
from specapp.drawings.scene import Circle, Group, Line, Polyline, Scene, Shape, Text
from specapp.drawings.symbols import BALLOON_RADIUS
from specapp.drawings.text_extent import Box
from tests.drawings.geometry import shape_box
from tests.drawings.sample import sample_proposal

DOT = 0.35
NEAR = 1e-6


class Led(NamedTuple):
    group: Group
    line: tuple[tuple[float, float], tuple[float, float]]


def groups(shapes: tuple[Shape, ...]) -> Iterator[Group]:
    for shape in shapes:
        if isinstance(shape, Group):
            yield shape
            yield from groups(shape.shapes)


def leaders(scene: Scene) -> list[Led]:
    """Return the hairlines that end in a dot."""
    found = []
    for group in groups(scene.shapes):
        for line, dot in zip(group.shapes, group.shapes[1:], strict=False):
            if isinstance(line, Line) and isinstance(dot, Circle) and dot.radius == DOT:
                found.append(Led(group, ((line.x1, line.y1), (line.x2, line.y2))))
    return found


def crossed(led: list[Led]) -> list[tuple[str, str]]:
    return [(a.group.label, b.group.label) for a, b in combinations(led, 2) if crossing(a.line, b.line)]


def passed_through(scene: Scene, led: list[Led]) -> list[tuple[str, str]]:
    """Return leaders that pass through another's balloon, letters or impeller."""
    found = []
    boxes = [Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2)) for _, ((x1, y1), (x2, y2)) in led]
    for group in groups(scene.shapes):
        for shape in group.shapes:
            if not _is_in_the_way(group, shape):
                continue
            area = shape_box(shape)
            found += [
                (one.group.label, group.label)
                for one, box in zip(led, boxes, strict=True)
                if box.overlaps(area) and one.group is not group and _meets(one, group, shape)
            ]
    return found


def _is_in_the_way(group: Group, shape: Shape) -> bool:
    if isinstance(shape, Circle):
        return shape.radius == BALLOON_RADIUS or group.label.startswith("Pinion")
    wheel = isinstance(shape, Polyline) and group.label.startswith("Shaft")
    return wheel or isinstance(shape, Text)


def _meets(led: Led, group: Group, shape: Shape) -> bool:
    if isinstance(shape, Circle):
        own = group.key == led.group.key and shape.radius != BALLOON_RADIUS
        return not own and distance((shape.x, shape.y), led.line) < shape.radius - NEAR
    if isinstance(shape, Polyline):
        return _meets_outline(led.line, shape.points)
    box = shape_box(shape)
    corners = ((box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom))
    return _meets_outline(led.line, corners)


def _meets_outline(line: Any, corners: tuple[tuple[float, float], ...]) -> bool:
    return any(crossing(line, side) for side in zip(corners, (*corners[1:], corners[0]), strict=True))


def shapes_of_machines() -> Iterator[dict[str, Any]]:
    """Eight machines of each number of pinions, their pinions apart as gears have to be."""
    for pinions in range(1, 6):
        for turn in range(8):
            apart = (360.0 / pinions, 90.0, 62.0, 52.0)[turn % 4] if pinions > 1 else 0.0
            apart = min(apart, 360.0 / pinions)
            yield {
                "pinions": pinions,
                "stages": 2 * pinions - turn % 2 * (pinions // 2),
                "angles": [(turn * 37.0 + number * apart) % 360 for number in range(pinions)],
                "ratios": [7.0 + (number * 5 + turn) % 9 for number in range(pinions)],
                "full": turn % 3 > 0,
                "driver": turn % 4 > 0,
                "input_pinion": turn == 5,
            }


@pytest.mark.parametrize(
    "machine", list(shapes_of_machines()), ids=lambda m: f"{m['pinions']}-{m['angles'][0]:.0f}"
)
def test_no_leader_crosses_another_or_passes_through_anything(machine: dict[str, Any]) -> None:
    proposal = sample_proposal(**machine)
    scenes = [layout_scene(proposal), *(shaft_scene(proposal, name) for name in shaft_names(proposal))]
    for scene in scenes:
        led = leaders(scene)
        assert len(led) >= len({balloon.number for balloon in scene.balloons})
        assert crossed(led) == []
        assert passed_through(scene, led) == []


def test_labels_change_places_where_only_that_keeps_a_leader_clear() -> None:
    behind, before = Disc("behind", 0.0, 0.0, 10.0), Disc("before", 20.0, 4.0, 8.0)

    def starts(order: Sequence[Disc]) -> list[tuple[float, float]]:
        return [(30.0, y) for y, _ in zip((8.0, -12.0), order, strict=True)]

    column = best_column([behind, before], [behind, before], starts)
    assert [disc.name for disc in column.order] == ["before", "behind"]
    assert column.faults == 0
    lines = list(zip(column.starts, column.ends, strict=True))
    assert not crossing(*lines)
    assert distance((before.x, before.y), lines[1]) > before.radius


def test_a_disc_that_lies_wholly_behind_another_is_led_to_all_the_same() -> None:
    inner, outer = Disc("inner", 0.0, 0.0, 2.0), Disc("outer", 0.0, 0.0, 5.0)
    column = best_column([inner, outer], [inner, outer], lambda order: [(20.0, -4.0), (20.0, 4.0)])
    assert column.faults == 1
    assert len(column.ends) == 2
