"""What an entry holds, in words."""

import pytest

from specapp.core.record_words import action_words, data_lines


@pytest.mark.parametrize(
    ("action", "words"),
    [
        ("machine.update", "machine changed"),
        ("setpoint_values.write", "setpoint values written"),
        ("sign_in", "sign in"),
        ("anything.new_verb", "anything new verb"),
    ],
)
def test_an_action_reads_as_words(action, words):
    assert action_words(action) == words


def test_of_two_descriptions_only_what_differs_is_shown():
    was = {"tag": "K-1", "pinions": [{"speed": {"value": 1, "unit": "rpm"}}], "gone": 1}
    now = {"tag": "K-1", "pinions": [{"speed": {"value": 2, "unit": "rpm"}}], "came": True}
    assert data_lines({"version": 3, "was": was, "is": now}) == [
        "pinions[0].speed: 1 rpm → 2 rpm",
        "gone: 1 → –",
        "came: – → yes",
        "version: 3",
    ]


def test_much_is_cut_and_says_so():
    lines = data_lines({f"n{place}": "x" * 500 for place in range(20)})
    assert lines[-1] == "and 8 more"
    assert len(lines) == 13
    assert len(lines[0]) < 200
