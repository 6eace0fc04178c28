"""Files that may be kept: few kinds, told apart by what is in them, under a name that can do no harm.

DWG and other drawing files are left out: they are read by programs that run what is inside them, and the
drawing as PDF says the same to a person.
"""

import hashlib
import re
from dataclasses import dataclass

from django.db import models

from specapp.domain.archives import parts_of
from specapp.domain.problems import NOTHING, InputErrors, Problem, shown

LARGEST_BYTES = 20_000_000
LARGEST_UNPACKED_BYTES = 200_000_000
LONGEST_NAME = 100
ALLOWED = "a PDF, PNG, JPEG, workbook (.xlsx) or CSV file of at most 20 MB, not empty"
_HEAD = 1024  # a PDF's mark may stand after some other bytes
_MACROS = "xl/vbaProject.bin"


class FileKind(models.TextChoices):
    """A kind of file as the ending that its name gets."""

    PDF = "pdf", "PDF"
    PNG = "png", "PNG"
    JPEG = "jpg", "JPEG"
    XLSX = "xlsx", "workbook"
    CSV = "csv", "CSV"


@dataclass(frozen=True, slots=True)
class KeptFile:
    """A file that was looked at and may be kept."""

    name: str
    kind: FileKind
    content: bytes

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.content).hexdigest()


def kept_file(name: str, content: bytes) -> KeptFile:
    """Return a file with its kind by content and a safe name.

    Raises `InputErrors` for a file that is empty, too large, or of no kind that is kept.
    """
    if not content:
        raise _refuse("an empty file")
    if len(content) > LARGEST_BYTES:
        raise _refuse(f"{len(content)} bytes")
    kind = _kind(content)
    if kind is None:
        raise _refuse(f"{shown(name)}, whose content is none of these" if name else NOTHING)
    return KeptFile(safe_name(name, kind), kind, content)


def safe_name(name: str, kind: FileKind) -> str:
    """Return a name of plain letters, digits, hyphens and points that ends as the content says."""
    stem = re.split(r"[\\/]", name)[-1]
    stem = stem.rpartition(".")[0] or stem
    stem = re.sub(r"[^A-Za-z0-9._-]+", "-", stem).strip("-._") or "file"
    return f"{stem[: LONGEST_NAME - 5]}.{kind.value}"


def _kind(content: bytes) -> FileKind | None:
    if b"%PDF-" in content[:_HEAD]:
        return FileKind.PDF
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return FileKind.PNG
    if content.startswith(b"\xff\xd8\xff"):
        return FileKind.JPEG
    if content.startswith(b"PK\x03\x04"):
        return FileKind.XLSX if _is_workbook(content) else None
    return FileKind.CSV if _is_table(content) else None


def _is_workbook(content: bytes) -> bool:
    entries = parts_of(content)
    if entries is None:
        return False
    names = {entry.filename for entry in entries}
    unpacked = sum(entry.file_size for entry in entries)
    return "xl/workbook.xml" in names and _MACROS not in names and unpacked <= LARGEST_UNPACKED_BYTES


def _is_table(content: bytes) -> bool:
    """Tell whether a file is text in rows; a page or a script is text too and is no table."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return False
    first = next((line for line in text.splitlines() if line.strip()), "").lstrip()
    is_markup = first.startswith(("<", "#!", "%!", "{\\rtf"))
    separated = any(mark in first for mark in ",;\t")
    return separated and not is_markup and all(char.isprintable() or char in "\t\r\n" for char in text)


def _refuse(found: str) -> InputErrors:
    return InputErrors([Problem("file", found, ALLOWED)])
