"""What parts a file that should be a ZIP archive holds, looked up without unpacking anything."""

from __future__ import annotations

from io import BytesIO
from zipfile import BadZipFile, ZipFile, ZipInfo


def parts_of(data: bytes) -> list[ZipInfo] | None:
    """Return the parts of an archive, None for a file that is none or that cannot be read as one.

    The sizes are those that the archive states; nothing is unpacked.
    """
    try:
        with ZipFile(BytesIO(data)) as archive:
            return archive.infolist()
    # The standard library says NotImplementedError of an archive that names a later version of the format.
    except (BadZipFile, ValueError, NotImplementedError, OSError):
        return None
