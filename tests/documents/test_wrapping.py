"""Lines of a given width."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.documents.fonts import TEXT, Lettering
from specapp.documents.wrapping import fitted, wrapped
from tests.documents.test_fonts import PdfDocument

LETTERING = Lettering(PdfDocument())


@given(st.text(alphabet="abc -/_.W\n", max_size=80), st.floats(12, 200))
def test_no_line_is_too_wide_and_nothing_is_lost(text, width):
    lines = wrapped(LETTERING, text, width, TEXT, 7)
    assert all(LETTERING.width(line, TEXT, 7) <= width + 1e-6 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "").replace("\n", "")


def test_long_word_breaks_after_a_joint():
    lines = wrapped(LETTERING, "bearing_temperature/thrust/active", 60, TEXT, 7)
    assert lines[0].endswith(("_", "/"))


@pytest.mark.parametrize(("text", "width"), [("short", 100), ("W" * 400, 100), ("two  words", 100)])
def test_single_line_fits(text, width):
    line, size = fitted(LETTERING, text, width, TEXT, 8, 5)
    assert LETTERING.width(line, TEXT, size) <= width
    assert 5 <= size <= 8


def test_line_cut_short_says_so():
    line, size = fitted(LETTERING, "W" * 400, 100, TEXT, 8, 5)
    assert size == 5
    assert line.endswith("…")


def test_what_follows_a_joint_is_broken_again_where_it_is_too_long():
    lines = wrapped(LETTERING, "W__WW", 12.0, TEXT, 7)
    assert "".join(lines) == "W__WW"
    assert all(LETTERING.width(line, TEXT, 7) <= 12.0 for line in lines)
