"""Files that should be archives: looked into, or known for what they are not."""

from io import BytesIO
from zipfile import ZipFile

import pytest

from specapp.domain.archives import parts_of


def archive():
    out = BytesIO()
    with ZipFile(out, "w") as written:
        written.writestr("a.txt", "twelve bytes")
    return out.getvalue()


def of_a_later_format():
    """Return the archive with 9.9 as the version needed, in the central directory."""
    data = archive()
    at = data.index(b"PK\x01\x02") + 6
    return data[:at] + (99).to_bytes(2, "little") + data[at + 2 :]


def test_parts_are_told_with_their_sizes():
    assert [(part.filename, part.file_size) for part in parts_of(archive())] == [("a.txt", 12)]


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"no archive", archive()[:-8], of_a_later_format()])
def test_what_cannot_be_read_as_an_archive_is_none(data):
    assert parts_of(data) is None
