"""A file goes out under its name, whatever the name holds."""

import pytest

from specapp.core.downloads import ZIP, attachment


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("K-1_points.csv", 'attachment; filename="K-1_points.csv"'),
        ('a"b\\c.zip', 'attachment; filename="a\\"b\\\\c.zip"'),
        ("grün.zip", "attachment; filename*=utf-8''gr%C3%BCn.zip"),
    ],
)
def test_a_name_cannot_break_out_of_its_header(name, told):
    answer = attachment(b"x", ZIP, name)
    assert (answer.headers["Content-Disposition"], answer.headers["Content-Type"]) == (told, ZIP)
