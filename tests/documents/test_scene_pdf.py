"""Scenes painted on a sheet: every kind of shape, and the text of the drawings as text."""

import pytest

from specapp.documents.fonts import Lettering
from specapp.documents.ink import Ink
from specapp.documents.options import Options
from specapp.documents.place_index import places_in
from specapp.documents.registry import DOCUMENTS
from specapp.documents.scene_pdf import fitting_scale, paint_scene
from specapp.documents.sheet import MM, Frame
from specapp.drawings.machine_layout import layout_scene
from specapp.drawings.scene import (
    Arc,
    Circle,
    Group,
    Line,
    Polyline,
    Rect,
    Scene,
    SceneTable,
    Text,
    walk,
)
from tests.documents.reading import text_of, without_spaces
from tests.documents.sample import proposal
from tests.documents.test_fonts import PdfDocument

FRAME = Frame(100.0, 100.0, 500.0, 400.0)


def painted(*shapes):
    ink = Ink(Lettering(PdfDocument()))
    scene = Scene("test", 100.0, 50.0, "Test", "", shapes, SceneTable((), ()))
    height = paint_scene(ink, scene, FRAME)
    return ink.operators(), height


def test_scene_is_painted_no_larger_than_life_and_inside_its_frame():
    scene = layout_scene(proposal("eight_stage"))
    assert fitting_scale(scene, 10_000, 10_000) == pytest.approx(MM)
    _, height = painted(Rect(0, 0, 100, 50))
    assert height == pytest.approx(50 * MM)


def test_origin_is_the_upper_left_corner():
    left = 100 + (400 - 100 * MM) / 2
    drawn, _ = painted(Line(0, 0, 10, 20, "thick"))
    assert f"{left:.2f} 400.00 m {left + 10 * MM:.2f} {400 - 20 * MM:.2f} l S" in drawn


@pytest.mark.parametrize(
    ("shape", "operators"),
    [
        (Rect(1, 1, 5, 5, fill="ink"), "re B"),
        (Rect(1, 1, 5, 5, fill="paper"), "B 0 g"),
        (Rect(1, 1, 5, 5, fill="ink", line="none"), "re f"),
        (Circle(5, 5, 2), "c h S"),
        (Polyline(((0, 0), (5, 0), (5, 5)), closed=True), "l h S"),
        (Polyline(((0, 0), (5, 0))), "l S"),
        (Line(0, 0, 5, 5, "dash"), "] 0 d"),
    ],
)
def test_each_shape_is_drawn(shape, operators):
    assert operators in painted(shape)[0]


def test_line_of_no_kind_is_not_drawn():
    assert painted(Line(0, 0, 5, 5, "none"))[0] == painted()[0]


def test_hatching_is_drawn_as_lines():
    assert painted(Rect(0, 0, 20, 20, fill="hatch"))[0].count(" l S") > 10


def test_arc_runs_clockwise_from_the_top():
    drawn, _ = painted(Arc(50, 25, 10, 0, 90))
    left = 100 + (400 - 100 * MM) / 2
    start, end = drawn.split(" m ")[0].split("\n")[-1], drawn.split(" c S")[0].split()[-2:]
    assert start == f"{left + 50 * MM:.2f} {400 - 15 * MM:.2f}"
    assert end == [f"{left + 60 * MM:.2f}", f"{400 - 25 * MM:.2f}"]


def test_group_is_entered_and_text_is_set():
    drawn, _ = painted(Group("k", "label", (Text(5, 5, "K-4410", weight="bold", anchor="middle"),)))
    assert "(K-4410) Tj" in drawn
    assert " Tm" in painted(Text(5, 5, "turned", rotation=90))[0]


def test_datasheet_holds_the_text_of_the_machine_drawing():
    machine = proposal("minimal_packaged")
    text = without_spaces(text_of(DOCUMENTS["datasheet"].render(machine)))
    words = [shape.text for _, shape in walk(layout_scene(machine).shapes) if isinstance(shape, Text)]
    assert words
    assert all(without_spaces(word) in text for word in words)


def test_a_large_machine_is_drawn_on_several_small_sheets_where_one_would_be_illegible():
    machine = proposal("eight_stage")
    data = DOCUMENTS["datasheet"].render(machine, Options(page_size="A4", code="7KQ2M4TD"))
    scenes = [scene for places in places_in(data) for scene in places.scenes if "layout" in scene.name]
    assert [scene.name for scene in scenes] == ["layout-view", "layout-train-1", "layout-train-2"]
    assert min(scene.scale for scene in scenes) >= 0.65 * MM
    shown = {group.item for scene in scenes for group in scene.groups}
    assert {point.key for point in machine.points} <= shown
