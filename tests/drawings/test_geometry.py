"""Every scene of generated machines and of the sample machines: labels apart, nothing clipped."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from specapp.drawings.machine_layout import layout_scene, layout_sheets, shaft_names, shaft_scene
from specapp.drawings.scene import Circle, Group, Shape, walk
from specapp.drawings.svg import svg_text
from specapp.drawings.symbols import BALLOON_RADIUS
from specapp.rulebook.proposing import propose_document
from tests.drawings.every_scene import every_scene
from tests.drawings.geometry import assert_sound, struck_labels, texts
from tests.drawings.sample import sample_proposal

MACHINES = sorted((Path(__file__).parents[2] / "fixtures" / "machines").glob("*.json"))


@st.composite
def machines(draw: st.DrawFn) -> dict[str, Any]:
    """What ``sample_proposal`` takes; short to print when a case fails."""
    pinions = draw(st.integers(1, 5))
    return {
        "pinions": pinions,
        "stages": draw(st.integers(pinions, 2 * pinions)),
        "tag": draw(st.sampled_from(["K-1", "K-" + "W" * 38])),
        "full": draw(st.booleans()),
        "driver": draw(st.booleans()),
        "angles": draw(st.none() | st.lists(st.floats(0, 359.9), min_size=pinions, max_size=pinions)),
        "ratios": draw(st.lists(st.floats(1.05, 40), min_size=pinions, max_size=pinions)),
        "names": draw(st.lists(st.text(max_size=40), max_size=pinions)),
        "input_pinion": draw(st.booleans()),
        "hold": draw(st.booleans()),
    }


@settings(max_examples=12, deadline=None)
@given(machines())
def test_generated_machines_are_drawn_soundly(machine: dict[str, Any]) -> None:
    proposal = sample_proposal(**machine)
    for scene in every_scene(proposal):
        assert_sound(scene)


@pytest.mark.parametrize("path", MACHINES, ids=lambda path: path.stem)
def test_sample_machines_are_drawn_soundly(path: Path) -> None:
    for scene in every_scene(propose_document(path.read_bytes())):
        assert_sound(scene)
        if scene.name.startswith(("setpoints", "frequencies")):
            assert struck_labels(scene) == [], scene.name


def test_ten_stages_five_pinions_and_over_a_hundred_points_stay_legible() -> None:
    proposal = sample_proposal(5)
    assert len(proposal.points) > 100
    scene = layout_scene(proposal)
    assert_sound(scene)
    # 2.6 mm on a sheet that fits A3 between its margins is still 2.4 mm in print.
    assert min(text.size_mm for text in texts(scene)) >= 2.6
    assert scene.width <= 400
    assert scene.height <= 400


@settings(max_examples=20, deadline=None)
@given(machines())
def test_every_point_is_once_in_the_balloon_table_and_once_on_the_train(machine: dict[str, Any]) -> None:
    proposal = sample_proposal(**machine)
    scene = layout_scene(proposal)
    wanted = [point.key for point in proposal.points]
    assert Counter(balloon.point for balloon in scene.balloons) == Counter(wanted)
    assert Counter(row[0] for row in scene.table.rows) == Counter(wanted)
    assert {balloon.point: balloon.tag for balloon in scene.balloons} == {
        p.key: p.tag for p in proposal.points
    }
    numbers = {balloon.number for balloon in scene.balloons}
    assert numbers == set(range(1, len(numbers) + 1))
    assert sorted(drawn_balloons(scene.shapes)) == sorted(numbers)


@settings(max_examples=10, deadline=None)
@given(machines())
def test_shaft_drawings_together_hold_every_point_once(machine: dict[str, Any]) -> None:
    proposal = sample_proposal(**machine)
    found: Counter[str] = Counter()
    for shaft in shaft_names(proposal):
        scene = shaft_scene(proposal, shaft)
        assert scene.width <= 100
        found.update(balloon.point for balloon in scene.balloons)
    assert found == Counter(point.key for point in proposal.points)


@pytest.mark.parametrize(
    ("pinions", "width", "height", "sheets"), [(1, 400.0, 277.0, 1), (5, 267.0, 165.0, 3)]
)
def test_the_layout_is_split_where_one_sheet_would_print_too_small(
    pinions: int, width: float, height: float, sheets: int
) -> None:
    proposal = sample_proposal(pinions)
    scenes = layout_sheets(proposal, width, height)
    assert len(scenes) == sheets
    for scene in scenes:
        assert min(width / scene.width, height / scene.height) >= 0.8
    if sheets > 1:
        drawn = [number for scene in scenes for number in drawn_balloons(scene.shapes)]
        assert sorted(drawn) == sorted({balloon.number for balloon in scenes[0].balloons})
        shown = Counter(balloon.point for scene in scenes[1:] for balloon in scene.balloons)
        assert shown == Counter(point.key for point in proposal.points)


def drawn_balloons(shapes: tuple[Shape, ...]) -> list[int]:
    """Return the numbers that stand in a circle of balloon size."""
    found = []
    for shape in shapes:
        if not isinstance(shape, Group):
            continue
        number = shape.label.partition(":")[0]
        if number.isdigit() and any(
            isinstance(s, Circle) and s.radius == BALLOON_RADIUS for s in shape.shapes
        ):
            found.append(int(number))
        found += drawn_balloons(shape.shapes)
    return found


@pytest.mark.parametrize("shaft", ["P9", "", "M"])
def test_a_shaft_that_is_not_there_is_refused(shaft: str) -> None:
    with pytest.raises(KeyError):
        shaft_scene(sample_proposal(1, driver=False), shaft)


def test_every_shape_of_the_train_carries_a_key() -> None:
    proposal = sample_proposal(3)
    keys = {key for key, _ in walk(layout_scene(proposal).shapes)}
    assert {point.key for point in proposal.points} <= keys
    assert {"BG", "P1", "P2", "P3", "M"} <= keys


def test_scenes_and_their_svg_are_the_same_each_time() -> None:
    proposal = sample_proposal(2)
    first = [svg_text(scene) for scene in every_scene(proposal)]
    assert first == [svg_text(scene) for scene in every_scene(sample_proposal(2))]
