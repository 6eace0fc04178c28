"""One faulty data file per fault: each is found, named and located."""

from datetime import date

import pytest

from specapp.criteria.data_files import CriteriaDataError, read_data_files

GOOD = """
[[criterion]]
key = 'radial.alarm_multiple'
title = 'Alarm'
value = 1.5
unit = '1'
minimum = 1
maximum = 3
valid_from = 2022-01-01
source = ''
edition = 'first'
status = 'common practice'
note = 'Why.'
"""


@pytest.fixture
def read(tmp_path):
    def _read(*texts):
        paths = []
        for number, text in enumerate(texts):
            paths.append(tmp_path / f"file{number}.toml")
            paths[-1].write_text(text, "utf-8")
        return read_data_files(paths)

    return _read


def test_a_good_row_is_read(read):
    (criterion,) = read(GOOD)
    assert (criterion.key, criterion.value, criterion.valid_from) == (
        "radial.alarm_multiple",
        1.5,
        date(2022, 1, 1),
    )
    assert criterion.whole is False
    assert criterion.override is None


def test_dated_rows_of_one_key_come_in_the_order_of_their_dates(read):
    later = GOOD.replace("2022-01-01", "2030-01-01").replace("1.5", "1.4")
    assert [row.value for row in read(later, GOOD)] == [1.5, 1.4]


FAULTS = {
    "unknown field": (GOOD + "colour = 'red'\n", "unknown field 'colour'"),
    "missing field": (GOOD.replace("edition = 'first'\n", ""), "edition is missing"),
    "empty text": (GOOD.replace("'Why.'", "' '"), "note is empty"),
    "text of the wrong type": (GOOD.replace("'Alarm'", "3"), "title is not text"),
    "key with capitals": (GOOD.replace("radial.alarm", "Radial.alarm"), "key is not two lower-case words"),
    "date as text": (GOOD.replace("2022-01-01", "'2022-01-01'"), "valid_from is not a date"),
    "date with a time": (GOOD.replace("2022-01-01", "2022-01-01T00:00:00"), "valid_from is not a date"),
    "date that does not exist": (GOOD.replace("2022-01-01", "2022-02-30"), "cannot be read as TOML"),
    "missing source": (GOOD.replace("common practice", "published"), "source is empty"),
    "unknown status": (GOOD.replace("common practice", "rumour"), "status 'rumour' is none of"),
    "value as text": (GOOD.replace("1.5", "'1.5'"), "value is not a finite number"),
    "value as truth": (GOOD.replace("1.5", "true"), "value is not a finite number"),
    "value not finite": (GOOD.replace("1.5", "inf"), "value is not a finite number"),
    "value outside its range": (GOOD.replace("1.5", "3.1"), "outside its own range 1 to 3"),
    "fraction of a count": (GOOD + "whole = true\n", "not all whole numbers"),
    "whole as text": (GOOD + "whole = 'yes'\n", "whole is not true or false"),
    "duplicate": (GOOD + GOOD, "has the key and valid_from of file0.toml: criterion 1"),
    "unknown table": (GOOD + "[other]\na = 1\n", "unknown table 'other'"),
    "criterion as a table": (GOOD.replace("[[criterion]]", "[criterion]"), "not a list of tables"),
    "not TOML": ("[[criterion]\n", "cannot be read as TOML"),
}


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_named_and_located(read, fault):
    text, message = FAULTS[fault]
    with pytest.raises(CriteriaDataError) as caught:
        read(text)
    (line,) = caught.value.faults
    assert line.startswith("file0.toml: ")
    assert message in line


def test_a_duplicate_across_files_is_found(read):
    with pytest.raises(CriteriaDataError, match=r"file1\.toml: criterion 1 .* has the key and valid_from"):
        read(GOOD, GOOD)


def test_every_fault_is_told_at_once(read):
    with pytest.raises(CriteriaDataError) as caught:
        read(GOOD.replace("1.5", "9").replace("'Why.'", "''"), GOOD + "colour = 'red'\n")
    assert len(caught.value.faults) == 3
