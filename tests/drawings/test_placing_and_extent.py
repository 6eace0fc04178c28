"""Room for labels: estimated widths against the real font, spreading, hatching, axes."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfbase.ttfonts import TTFont

from specapp.drawings.axis import Axis, decade_ticks, decades_around, round_ticks
from specapp.drawings.flags import Flag, flags
from specapp.drawings.hatching import hatch_lines
from specapp.drawings.marks import Mark, marked_line
from specapp.drawings.placing import Occupied, spread, tiers
from specapp.drawings.scene import Circle, Polyline, Rect, Text
from specapp.drawings.text_extent import Box, shortened, text_box, text_width_mm, wrapped

FONTS = Path(__file__).parents[2] / "static" / "fonts"
WORDS = [
    "P1/P1-1/radial",
    "oscillator-demodulator",
    "18 200 r/min",
    "VE-4410-P11Y",
    "WWW iii",
    "≤ 25.4 µm p-p",
]


@pytest.mark.parametrize("bold", [False, True])
@pytest.mark.parametrize("words", WORDS)
def test_the_estimate_covers_the_face_the_drawings_are_set_in(words: str, bold: bool) -> None:
    name = "DejaVuSansCondensed-Bold" if bold else "DejaVuSansCondensed"
    face = TTFont(name, str(FONTS / f"{name}.ttf"))
    real = face.stringWidth(words, 10)
    assert real <= text_width_mm(words, 10, bold=bold) <= 1.35 * real


def test_a_turned_text_takes_an_upright_box() -> None:
    box = text_box(Text(10, 50, "abc", 3, rotation=-90))
    assert box.right - box.left == pytest.approx(3.0)
    assert box.bottom - box.top == pytest.approx(text_width_mm("abc", 3))
    assert box.bottom == pytest.approx(50)


@given(st.text(min_size=1), st.floats(3, 60))
def test_a_shortened_text_fits_and_says_so(text: str, width: float) -> None:
    result = shortened(text, 2.0, width)
    assert text_width_mm(result, 2.0) <= width
    assert result == text or result.endswith("…")


@given(st.text(), st.floats(5, 60))
def test_wrapped_lines_fit(text: str, width: float) -> None:
    assert all(text_width_mm(line, 2.0) <= width for line in wrapped(text, 2.0, width))


@given(st.lists(st.tuples(st.floats(-50, 150), st.floats(0.5, 8)), max_size=12))
def test_spread_items_keep_their_order_and_do_not_overlap(items: list[tuple[float, float]]) -> None:
    wanted = sorted(want for want, _ in items)
    sizes = [size for _, size in items]
    centres = spread(wanted, sizes, 0, 100)
    for centre, size in zip(centres, sizes, strict=True):
        assert centre - size / 2 >= -1e-6
        assert centre + size / 2 <= 100 + 1e-6
    for index in range(1, len(centres)):
        assert centres[index] - centres[index - 1] >= (sizes[index] + sizes[index - 1]) / 2 - 1e-6


def test_items_that_fit_stay_where_they_want_and_a_crowd_is_centred() -> None:
    assert spread([10, 50], [4, 4], 0, 100) == [10, 50]
    assert spread([50, 50], [4, 4], 0, 100) == [48, 52]
    assert spread([1, 1], [4, 4], 0, 100) == [2, 6]


@pytest.mark.parametrize(("count", "expected"), [(0, 0), (1, 1), (10, 1), (11, 2)])
def test_tiers(count: int, expected: int) -> None:
    assert tiers(count, 5, 50) == expected


def test_the_first_free_place_is_taken() -> None:
    occupied = Occupied(50, 50, [Box(0, 0, 20, 20)])
    taken = occupied.first_free([Text(5, 10, "a"), Text(-5, 30, "a"), Text(5, 30, "a")])
    assert taken == Text(5, 30, "a")
    assert occupied.first_free([Text(5, 30, "b")]) is None


@pytest.mark.parametrize(
    "shape", [Rect(0, 0, 10, 6), Circle(5, 5, 4), Polyline(((0, 0), (10, 0), (0, 8)), closed=True)]
)
def test_hatching_stays_inside_its_shape(shape: Rect | Circle | Polyline) -> None:
    lines = hatch_lines(shape)
    assert lines
    for line in lines:
        for x, y in ((line.x1, line.y1), (line.x2, line.y2)):
            assert -1e-6 <= x <= 10 + 1e-6
            assert -1e-6 <= y <= 10 + 1e-6
            if isinstance(shape, Circle):
                assert (x - 5) ** 2 + (y - 5) ** 2 <= 16.001
            if isinstance(shape, Polyline):
                assert x / 10 + y / 8 <= 1 + 1e-6


def test_a_shape_smaller_than_the_spacing_has_no_hatching() -> None:
    assert hatch_lines(Rect(0.1, 0.1, 0.1, 0.1)) == ()


def test_linear_and_logarithmic_axes() -> None:
    assert Axis(0, 100, 10, 60).at(50) == 35
    assert Axis(1, 100, 10, 60, logarithmic=True).at(10) == pytest.approx(35)
    assert Axis(0, 100, 10, 60).at(-5) == 10
    assert not Axis(0, 100, 10, 60).holds(100.1)


def test_ticks_are_round() -> None:
    assert round_ticks(0, 125) == (0, 20, 40, 60, 80, 100, 120)
    assert round_ticks(-1, 1) == (-1, -0.5, 0, 0.5, 1)
    assert decade_ticks(0.1, 1000) == (0.1, 1, 10, 100, 1000)
    assert decades_around((3.0, 900.0)) == (1, 1000)
    assert decades_around((10.0,)) == (10, 100)


@given(st.lists(st.tuples(st.floats(0, 120), st.text(min_size=1, max_size=14)), min_size=1, max_size=12))
def test_marks_on_a_scale_keep_their_labels_apart(items: list[tuple[float, str]]) -> None:
    axis = Axis(0, 100, 0, 100)
    marks = [Mark(value, label) for value, label in items]
    boxes = [text_box(shape) for shape in marked_line(marks, axis, 10) if isinstance(shape, Text)]
    for index, box in enumerate(boxes):
        assert not any(box.overlaps(other, -0.01) for other in boxes[index + 1 :])


def reached_over(at: list[float], hung: tuple[Flag, ...]) -> list[tuple[int, int]]:
    """Flags that lie over the leader of another flag which hangs as deep or deeper."""
    return [
        (i, j)
        for i, flag in enumerate(hung)
        for j, x in enumerate(at)
        if i != j and flag.left + 0.1 < x < flag.right - 0.1 and hung[j].tier >= flag.tier
    ]


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 100), st.floats(2, 45)), min_size=1, max_size=9))
def test_flags_stay_on_the_axis_and_apart(items: list[tuple[float, float]]) -> None:
    hung = flags([x for x, _ in items], [width for _, width in items], 0, 100)
    assert all(flag.left >= 0 and flag.right <= 100 + 1e-9 for flag in hung)
    for index, flag in enumerate(hung):
        for other in hung[index + 1 :]:
            meets = flag.left < other.right - 1e-9 and other.left < flag.right - 1e-9
            assert flag.tier != other.tier or not meets


def test_a_crowd_of_flags_parts_to_both_sides_and_no_leader_runs_through_a_label() -> None:
    at = [60.0, 62.0, 64.0, 67.0, 75.0]
    hung = flags(at, [20.0] * 5, 0, 100)
    assert reached_over(at, hung) == []
    assert max(flag.tier for flag in hung) == 2


def test_flags_turn_away_from_a_line_and_from_the_end_of_the_axis() -> None:
    assert flags([50.0], [20.0], 0, 100, avoid=[60.0]) == (Flag(30.0, 50.0, 0),)
    assert flags([50.0], [20.0], 0, 100, avoid=[40.0]) == (Flag(50.0, 70.0, 0),)
    assert flags([95.0], [20.0], 0, 100) == (Flag(75.0, 95.0, 0),)
