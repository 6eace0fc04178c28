"""The criteria file of a project: what is taken, and how each fault is reported."""

from datetime import date

import pytest

from specapp.criteria.loader import read_criteria_file
from specapp.domain.problems import InputErrors

GOOD = b"""
[[criterion]]
key = "radial.trip_multiple"
value = 1.8
reason = " owner's specification, clause 7.3 "
source = "SP-201"
date = 2026-03-31

[[criterion]]
key = "rack.slots"
value = 16
reason = "chosen system"
"""


def problems_of(data):
    with pytest.raises(InputErrors) as caught:
        read_criteria_file(data)
    return {problem.path: problem for problem in caught.value.problems}


def test_a_good_file_is_taken():
    overrides = read_criteria_file(GOOD)
    assert list(overrides) == ["radial.trip_multiple", "rack.slots"]
    trip = overrides["radial.trip_multiple"]
    assert (trip.value, trip.reason, trip.source, trip.dated) == (
        1.8,
        "owner's specification, clause 7.3",
        "SP-201",
        date(2026, 3, 31),
    )


def test_a_byte_order_mark_and_an_empty_file_are_taken():
    assert read_criteria_file(b"\xef\xbb\xbf" + GOOD) == read_criteria_file(GOOD)
    assert read_criteria_file(b"") == {}


ROW = '[[criterion]]\nkey = "radial.trip_multiple"\nvalue = 1.8\nreason = "why"\n'
FAULTS = {
    "no reason": (ROW.replace('reason = "why"\n', ""), 'criteria["radial.trip_multiple"].reason', "nothing"),
    "blank reason": (ROW.replace("why", "  "), 'criteria["radial.trip_multiple"].reason', '"  "'),
    "long reason": (ROW.replace("why", "x" * 501), 'criteria["radial.trip_multiple"].reason', "501"),
    "no value": (ROW.replace("value = 1.8\n", ""), 'criteria["radial.trip_multiple"].value', "nothing"),
    "value as text": (ROW.replace("1.8", '"1.8"'), 'criteria["radial.trip_multiple"].value', '"1.8"'),
    "value as truth": (ROW.replace("1.8", "true"), 'criteria["radial.trip_multiple"].value', "true"),
    "value too high": (ROW.replace("1.8", "5.01"), 'criteria["radial.trip_multiple"].value', "5.01"),
    "value not a number": (ROW.replace("1.8", "nan"), 'criteria["radial.trip_multiple"].value', "NaN"),
    "value infinite": (ROW.replace("1.8", "-inf"), 'criteria["radial.trip_multiple"].value', "-Infinity"),
    "value huge": (
        ROW.replace("1.8", "9" * 400),
        'criteria["radial.trip_multiple"].value',
        "about 401 digits",
    ),
    "value of thousands of digits": (ROW.replace("1.8", "9" * 5000), "document", "too long"),
    "unknown key": (
        ROW.replace("multiple", "multipel"),
        'criteria["radial.trip_multipel"]',
        "unknown criterion",
    ),
    "no key": (ROW.replace('key = "radial.trip_multiple"\n', ""), "criterion[0].key", "nothing"),
    "key of the wrong type": (ROW.replace('"radial.trip_multiple"', "7"), "criterion[0].key", "7"),
    "unknown field": (ROW + "colour = 1\n", 'criteria["radial.trip_multiple"].colour', "unknown field"),
    "date as text": (ROW + 'date = "31 March"\n', 'criteria["radial.trip_multiple"].date', '"31 March"'),
    "source of the wrong type": (ROW + "source = 1\n", 'criteria["radial.trip_multiple"].source', "1"),
    "twice": (ROW + ROW, 'criteria["radial.trip_multiple"]', "a second time"),
    "unknown table": (ROW + "[other]\na = 1\n", "other", "unknown table"),
    "one table": (ROW.replace("[[criterion]]", "[criterion]"), "criterion", "an object"),
    "list of numbers": ("criterion = [1]", "criterion[0]", "1"),
    "not TOML": ("{", "document", "not TOML"),
    "nested too deeply": ("a = " + "[" * 5000 + "]" * 5000, "document", "too deeply"),
    "too large": ("#" * 1_000_001, "document", "1000001 bytes"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_reported_at_its_own_field(fault):
    text, path, found = FAULTS[fault]
    problems = problems_of(text.encode())
    assert list(problems) == [path]
    assert found in problems[path].found


def test_bytes_that_are_no_text_are_refused():
    assert list(problems_of(b"\xff\xfe\x00")) == ["document"]


def test_the_allowed_range_and_the_close_key_are_told():
    problems = problems_of(ROW.replace("1.8", "9").encode())
    assert problems['criteria["radial.trip_multiple"].value'].allowed == "a number from 0.5 to 5"
    problems = problems_of(ROW.replace("multiple", "multipel").encode())
    assert "radial.trip_multiple" in problems['criteria["radial.trip_multipel"]'].allowed


def test_every_problem_of_the_file_comes_at_once():
    second = ROW.replace("radial.trip_multiple", "rack.slots").replace("1.8", "15.5")
    problems = problems_of((ROW.replace('reason = "why"\n', "") + second).encode())
    assert list(problems) == ['criteria["radial.trip_multiple"].reason', 'criteria["rack.slots"].value']
    assert problems['criteria["rack.slots"].value'].allowed == "a whole number from 4 to 30"
