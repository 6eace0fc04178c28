"""Numbers that forms and addresses send: whatever is no whole number of a fitting length is told apart."""

import pytest

from specapp.core.whole_numbers import version_in, whole_number


@pytest.mark.parametrize(
    ("text", "number"),
    [("0", 0), ("007", 7), ("999999999", 999_999_999), ("1000000000", -1), ("", -1), ("-1", -1)]
    + [(text, -1) for text in ("1.0", " 1", "1e3", "x", "١", "²")],
)
def test_a_whole_number_of_at_most_nine_digits(text, number):
    assert whole_number(text, -1) == number


def test_a_version_that_is_not_told_is_one_that_no_row_has():
    assert version_in({"version": "3"}) == 3
    assert version_in({}) == version_in({"version": "x"}) == 0
    assert version_in({"machine_version": "4"}, "machine_version") == 4
