"""From a rectangle on a sheet to what stands there, each side of every threshold."""

import pytest

from specapp.documents.annotation_places import spotted
from specapp.documents.annotations import Remark
from specapp.documents.place_index import GroupPlace, RowPlace, ScenePlace, SheetPlaces
from specapp.documents.sheet import Frame

# Two rows of 20 pt, the upper one first, each with a cell for a trip; a drawing at 2 pt a millimetre below.
ROWS = [
    RowPlace(100, 180, 300, 200, "P1"),
    RowPlace(200, 180, 240, 200, "P1", "trip"),
    RowPlace(100, 160, 300, 180, "P2"),
    RowPlace(200, 160, 240, 180, "P2", "trip"),
]
SCENE = ScenePlace(
    "layout", 100, 150, 2, 100, 60, (GroupPlace(0, 0, 90, 50, "BG"), GroupPlace(10, 10, 20, 20, "BG/radial"))
)
SHEETS = [SheetPlaces(ROWS, [SCENE])]


def at(left, bottom, right, top, is_point=False, sheet=1):
    return spotted(Remark("id", sheet, "Note", "x", "", Frame(left, bottom, right, top), is_point), SHEETS)


@pytest.mark.parametrize(
    ("box", "item", "field"),
    [
        ((110, 182, 290, 198), "P1", ""),
        ((205, 182, 235, 198), "P1", "trip"),
        ((221, 182, 259, 198), "P1", "trip"),
        ((222, 182, 262, 198), "P1", ""),
        ((110, 165, 290, 181), "P2", ""),
    ],
)
def test_a_row_and_a_cell_of_it(box, item, field):
    found = at(*box)
    assert (found.item, found.field, found.further) == (item, field, ())


@pytest.mark.parametrize(("bottom", "further"), [(170.0, ("P2",)), (170.5, ())])
def test_a_frame_over_half_of_a_further_row_is_about_it_too(bottom, further):
    found = at(110, bottom, 290, 200)
    assert (found.item, found.further) == ("P1", further)


@pytest.mark.parametrize(("left", "item"), [(380.0, "P1"), (380.5, "")])
def test_a_note_in_the_margin_belongs_to_the_row_beside_it(left, item):
    assert at(left, 185, left + 12, 195, is_point=True).item == item


def test_a_mark_on_a_drawing_stands_in_its_millimetres():
    frame = at(120, 110, 140, 130)
    assert (frame.scene, frame.item) == ("layout", "BG/radial")
    assert (frame.x_mm, frame.y_mm, frame.width_mm, frame.height_mm) == (10, 10, 10, 10)
    point = at(120, 110, 140, 130, is_point=True)
    assert (point.x_mm, point.y_mm, point.width_mm) == (15, 15, 0)


def test_a_frame_over_the_edge_of_a_drawing_ends_there():
    frame = at(90, 100, 200, 155)
    assert (frame.x_mm, frame.y_mm) == (0, 0)
    assert (frame.width_mm, frame.height_mm) == (50, 25)


@pytest.mark.parametrize("sheet", [0, 2, -1])
def test_a_sheet_that_is_not_there_has_nothing_on_it(sheet):
    assert at(110, 182, 290, 198, sheet=sheet).item == ""
