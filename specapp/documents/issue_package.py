"""Issued files in one archive with an index; the same files give the same bytes."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from io import BytesIO, StringIO
from typing import Final
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from specapp.documents.cells import csv_text

INDEX: Final = "index.csv"
_HEADINGS: Final = ("number", "title", "revision", "purpose", "date", "checksum", "replaces", "file")
_FILE_MODE: Final = 0o644 << 16


@dataclass(frozen=True, slots=True)
class PackedFile:
    """One file of the archive and its line of the index; ``replaces`` is a revision, empty for none."""

    filename: str
    content: bytes
    number: str
    title: str
    revision: str
    purpose: str
    date: str
    sha256: str
    replaces: str


def index_csv(files: Sequence[PackedFile]) -> bytes:
    """Return the index as CSV, UTF-8 with a byte order mark, one line a file."""
    out = StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(_HEADINGS)
    for file in files:
        cells = (file.number, file.title, file.revision, file.purpose, file.date)
        writer.writerow(
            [*map(csv_text, cells), file.sha256, csv_text(file.replaces), csv_text(file.filename)]
        )
    return out.getvalue().encode("utf-8-sig")


def package(files: Sequence[PackedFile], dated: date) -> bytes:
    """Return the archive: the index first, then the files in the order given, all of one date."""
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED, compresslevel=6) as archive:
        for name, content in [(INDEX, index_csv(files)), *((file.filename, file.content) for file in files)]:
            info = ZipInfo(name, (max(dated.year, 1980), dated.month, dated.day, 0, 0, 0))
            info.compress_type = ZIP_DEFLATED
            info.external_attr = _FILE_MODE
            info.create_system = 3
            archive.writestr(info, content)
    return out.getvalue()
