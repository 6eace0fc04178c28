"""Papers that come with a comment: few kinds, told by what is in them, never by what they are called."""

from dataclasses import dataclass

from specapp.domain.archives import parts_of
from specapp.domain.problems import NOTHING, InputErrors, Problem

LARGEST_BYTES = 5_000_000
MOST_OF_A_COMMENT = 5
ALLOWED = "a PDF, PNG, JPEG, workbook (.xlsx), text document (.docx) or plain text of at most 5 MB"
_SIGNS = ((b"%PDF-", "pdf"), (b"\x89PNG\r\n\x1a\n", "png"), (b"\xff\xd8\xff", "jpg"))
_PARTS = (("xl/workbook.xml", "xlsx"), ("word/document.xml", "docx"))


@dataclass(frozen=True, slots=True)
class Paper:
    """A file as it will be kept: a safe name that ends as its content says, its kind and its bytes."""

    name: str
    kind: str
    content: bytes


def paper_of(name: str, content: bytes) -> Paper:
    """Return a file that may be kept. Raises `InputErrors` for any other."""
    if not content:
        raise _refuse(NOTHING)
    if len(content) > LARGEST_BYTES:
        raise _refuse(f"{len(content)} bytes")
    kind = _kind(content)
    if kind is None:
        raise _refuse("a file of another kind")
    stem = name.replace("\\", "/").rpartition("/")[2].rpartition(".")[0] or "attachment"
    safe = "".join(char if char.isalnum() or char in "-_" else "-" for char in stem)[:80].strip("-")
    return Paper(f"{safe or 'attachment'}.{kind}", kind, content)


def _kind(content: bytes) -> str | None:
    for sign, kind in _SIGNS:
        if content.startswith(sign):
            return kind
    if content.startswith(b"PK"):
        return _kind_of_archive(content)
    if b"\0" in content:
        return None
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return None
    return "txt"


def _kind_of_archive(content: bytes) -> str | None:
    names = {part.filename for part in parts_of(content) or ()}
    return next((kind for part, kind in _PARTS if part in names), None)


def _refuse(found: str) -> InputErrors:
    return InputErrors([Problem("attachment", found, ALLOWED)])
