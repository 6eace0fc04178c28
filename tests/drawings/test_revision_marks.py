"""Revision clouds: around what has changed and nothing else, inside the sheet, named by their revision."""

import pytest

from specapp.drawings.extent import group_boxes, shape_box
from specapp.drawings.machine_layout import layout_scene
from specapp.drawings.revision_marks import CLOUD_KEY, with_clouds
from specapp.drawings.scene import Arc, Group, Polyline, Rect, Scene, SceneTable, Text
from specapp.drawings.svg import svg_text
from tests.documents.sample import proposal


def scene(*groups):
    return Scene("s", 100.0, 80.0, "S", "", groups, SceneTable((), ()))


def square(key, x, y, side=10.0):
    return Group(key, key, (Rect(x, y, side, side),))


def clouds(marked):
    return [each for each in marked.shapes if isinstance(each, Group) and each.key.startswith(CLOUD_KEY)]


def test_a_cloud_goes_round_what_has_changed_and_names_the_revision():
    marked = with_clouds(scene(square("P1", 40, 30), square("P2", 70, 60)), {"P1"}, "B")
    (cloud,) = clouds(marked)
    arcs = [shape for shape in cloud.shapes if isinstance(shape, Arc)]
    ends = [shape_box(arc) for arc in arcs]
    assert cloud.label == "Changed in revision B: P1"
    assert min(box.left for box in ends) < 40
    assert max(box.right for box in ends) > 50
    assert not any(box.right > 68 and box.bottom > 58 for box in ends)
    assert [shape.text for shape in cloud.shapes if isinstance(shape, Text)] == ["B"]
    assert any(isinstance(shape, Polyline) and shape.closed for shape in cloud.shapes)


def test_lobes_stand_outward():
    """A lobe's middle is farther from the item than its ends, on each of the four sides."""
    (cloud,) = clouds(with_clouds(scene(square("P1", 40, 30)), {"P1"}, "B"))
    for arc in (shape for shape in cloud.shapes if isinstance(shape, Arc)):
        middle = (arc.start_deg + arc.sweep_deg / 2) % 360
        outward = {0: arc.y < 35, 90: arc.x > 45, 180: arc.y > 35, 270: arc.x < 45}
        assert arc.sweep_deg < 200
        assert outward[round(middle / 90) % 4 * 90]


def test_clouds_that_would_cross_are_one():
    marked = with_clouds(scene(square("P1", 30, 30), square("P2", 41, 30)), {"P1", "P2"}, "2")
    (cloud,) = clouds(marked)
    assert cloud.label == "Changed in revision 2: P1, P2"


@pytest.mark.parametrize("corner", [(0, 0), (90, 0), (0, 70), (90, 70)])
def test_a_cloud_at_the_edge_stays_on_the_sheet(corner):
    (cloud,) = clouds(with_clouds(scene(square("P1", *corner)), {"P1"}, "10A"))
    for shape in cloud.shapes:
        if isinstance(shape, Polyline):
            box = shape_box(shape)
            assert box.inside(100, 80)


def test_nothing_changed_leaves_the_drawing_as_it_is():
    plain = scene(square("P1", 40, 30))
    assert with_clouds(plain, {"P9"}, "B") is plain


def test_an_item_that_is_most_of_the_drawing_is_not_clouded():
    plain = scene(square("BG", 0, 0, side=79.0), square("P1", 85, 10))
    assert [cloud.label for cloud in clouds(with_clouds(plain, {"BG", "P1"}, "B"))] == [
        "Changed in revision B: P1"
    ]


def test_clouds_of_a_machine_are_the_same_each_time_and_leave_what_was_drawn():
    plain = layout_scene(proposal("minimal_process"))
    keys = sorted({key for key, _ in group_boxes(plain.shapes)})[:3]
    marked = with_clouds(plain, keys, "B")
    assert marked.shapes[: len(plain.shapes)] == plain.shapes
    assert svg_text(marked) == svg_text(with_clouds(plain, keys, "B"))
