"""CSV lists as bytes: encodings, delimiters and files that are no list."""

import pytest

from specapp.domain.machine_csv import LARGEST_BYTES, read_csv
from specapp.domain.machine_table import MOST_COLUMNS, MOST_ROWS
from specapp.domain.problems import InputErrors


def refused(data):
    with pytest.raises(InputErrors) as caught:
        list(read_csv(data))
    (problem,) = caught.value.problems
    assert problem.path == "document"
    return problem.found


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_each_delimiter_mark_and_line_end_is_read(delimiter, mark, end):
    text = end.join([delimiter.join(["tag", "stage_count"]), delimiter.join(["K-1", "3"]), ""])
    assert [row for row in read_csv(mark + text.encode()) if row] == [["tag", "stage_count"], ["K-1", "3"]]


def test_the_delimiter_is_counted_outside_quotes():
    assert list(read_csv(b'"a;b;c;d",e\n')) == [["a;b;c;d", "e"]]


def test_quoted_line_feeds_and_letters_beyond_ascii_stay():
    assert list(read_csv('tag,title\nK-1,"Grüße\nzwei"\n'.encode())) == [
        ["tag", "title"],
        ["K-1", "Grüße\nzwei"],
    ]


def test_bytes_that_are_no_text_are_refused():
    assert "not UTF-8" in refused("tag\nGrüße".encode("latin-1"))
    assert "not UTF-8" in refused("tag".encode("utf-16"))
    assert "NUL" in refused(b"tag\0\nK-1\n")


def test_an_open_quote_and_an_endless_field_are_refused():
    assert "not CSV at line" in refused(b'tag\n"K-1\n')
    assert "not CSV at line" in refused(b"tag\n" + b"x" * 200_000)


def test_size_rows_and_columns_are_limited():
    assert "bytes" in refused(b"x" * (LARGEST_BYTES + 1))
    assert "rows" in refused(b"\n" * (2 * MOST_ROWS + 1))
    assert len(list(read_csv(b"\n" * (2 * MOST_ROWS)))) == 2 * MOST_ROWS
    assert "columns" in refused(b"," * MOST_COLUMNS)
    assert len(next(read_csv(b"," * (MOST_COLUMNS - 1)))) == MOST_COLUMNS
