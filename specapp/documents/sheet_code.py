"""The short code of an issued sheet: printed on every sheet, kept in the file, found again in a copy.

A code is looked up where the sheet was issued, to learn whether the sheet is still current. Letters and
figures that are mistaken for one another on paper are left out.
"""

from __future__ import annotations

import re
import zlib
from itertools import islice
from typing import Final

ALPHABET: Final = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH: Final = 8
LARGEST_READ: Final = 20 * 1024 * 1024  # bytes of streams looked through in a file that was rewritten
_MARK: Final = "sheet code "
_WRITTEN: Final = re.compile(rb"sheet code ([0-9A-Z]{8})")
MOST_STREAMS: Final = 20_000
_STREAM: Final = re.compile(rb"stream\r?\n(?=x)")  # x begins a packed stream


def code_of(number: int) -> str:
    """Return the code of a random number from 0 on, eight characters."""
    characters = []
    for _ in range(LENGTH):
        number, index = divmod(number, len(ALPHABET))
        characters.append(ALPHABET[index])
    return "".join(characters)


def shown(code: str) -> str:
    """Return a code as it is printed, in two groups of four."""
    return f"{code[:4]}-{code[4:]}"


def typed(text: str) -> str | None:
    """Return the code that a person typed, None where it cannot be one."""
    code = re.sub(r"[\s-]+", "", text.upper())
    return code if len(code) == LENGTH and set(code) <= set(ALPHABET) else None


def keyword(code: str) -> str:
    """Return the code as the file's properties hold it: without a hyphen, which some programs encode."""
    return f"{_MARK}{code}"


def notes(code: str) -> tuple[str, ...]:
    """Return the line of the notes strip, none for a sheet without a code."""
    if not code:
        return ()
    return (f"Sheet code {shown(code)}: it tells, where this was issued, whether this sheet is current.",)


def code_in(data: bytes) -> str | None:
    """Return the code kept in a PDF, None where there is none.

    The properties of a file stand in it as plain text, also after a reader has added remarks to a copy.
    Some programs pack them when they write the file anew; up to `LARGEST_READ` bytes of unpacked streams
    are looked through for that. The file is not otherwise interpreted, so that a hostile one can do no harm.
    """
    # Properties may be in two-byte characters.
    found = _WRITTEN.search(data.replace(b"\0", b""))
    return _code(found) if found else _in_streams(data)


def _in_streams(data: bytes) -> str | None:
    left = LARGEST_READ
    for start in islice(_STREAM.finditer(data), MOST_STREAMS):
        unpacking = zlib.decompressobj()
        try:
            unpacked = unpacking.decompress(memoryview(data)[start.end() :], max(left, 1))
        except zlib.error:  # not a packed stream, or packed in another way
            continue
        left -= len(unpacked)
        if found := _WRITTEN.search(unpacked):
            return _code(found)
        if left <= 0:
            return None
    return None


def _code(found: re.Match[bytes]) -> str | None:
    return typed(found[1].decode("ascii"))
