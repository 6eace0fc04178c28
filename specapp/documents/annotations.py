"""Remarks in a returned copy of a document issued here: the standard annotations of ISO 32000-1, 12.5.

Whoever calls this has found the code of an issued document in the file first, without interpreting it.
Then the file is read within fixed limits: a size, a number of pages and of annotations, streams no larger
than the reader's own bound. Only text and rectangles are taken from it; nothing in it is run, followed or
drawn, and where each remark belongs is read from the document as it was issued.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import BytesIO
from typing import Any, Final

from pypdf import PdfReader
from pypdf.generic import ArrayObject, DictionaryObject, IndirectObject

from specapp.documents.place_index import sheet_in
from specapp.documents.sheet import Frame
from specapp.domain.problems import DOCUMENT, InputErrors, Problem

LARGEST_BYTES: Final = 30 * 1024 * 1024
MOST_PAGES: Final = 600
MOST_ON_A_PAGE: Final = 1000
MOST_REMARKS: Final = 1000
LONGEST_TEXT: Final = 4000
LONGEST_NAME: Final = 120
_MOST_QUADS: Final = 400
_MOST_DEEP: Final = 20
_FARTHEST: Final = 20_000.0  # pt

# What each kind says where nothing is written to it. Kinds that are no remark are passed over.
KINDS: Final = {
    "/Text": "Note",
    "/FreeText": "Text on the sheet",
    "/Highlight": "Highlighted",
    "/Underline": "Underlined",
    "/Squiggly": "Underlined",
    "/StrikeOut": "Struck out",
    "/Caret": "Insertion mark",
    "/Square": "Framed",
    "/Circle": "Circled",
    "/Ink": "Drawn by hand",
    "/Line": "Line",
    "/Polygon": "Outlined",
    "/PolyLine": "Line",
    "/Stamp": "Stamped",
}
_POINTS: Final = frozenset({"/Text", "/Caret"})
_SAYS_NOTHING: Final = frozenset({"/Line", "/PolyLine", "/Caret"})


@dataclass(slots=True)
class Remark:
    """One remark: its sheet from 1, kind, text, who wrote it, and the rectangle it takes [pt].

    ``id`` is the same whenever the same remark is brought. ``replies`` are the remarks made in answer to
    it: id, who wrote it, text.
    """

    id: str
    sheet: int
    kind: str
    text: str
    person: str
    frame: Frame
    is_point: bool
    replies: list[tuple[str, str, str]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class ReturnedCopy:
    """The remarks of a copy in the order of its sheets, and what could not be taken."""

    remarks: tuple[Remark, ...]
    problems: tuple[Problem, ...]


def read_copy(data: bytes, sheets: int) -> ReturnedCopy:
    """Return the remarks in a copy of a document of so many sheets.

    Raises `InputErrors` for a file that is too large or cannot be read.
    """
    if len(data) > LARGEST_BYTES:
        allowed = f"a PDF of at most {LARGEST_BYTES // 1024 // 1024} MB"
        raise InputErrors([Problem(DOCUMENT, f"{len(data)} bytes", allowed)])
    try:
        return _Reader(sheets).read(data)
    except InputErrors:
        raise
    except Exception as error:
        # A broken or hostile file makes the reader fail in ways it does not document; whatever they are,
        # the answer is that the file cannot be read.
        found = f"a file that cannot be read as a PDF ({type(error).__name__})"
        raise InputErrors([Problem(DOCUMENT, found, "a returned copy of an issued PDF")]) from None


class _Reader:
    def __init__(self, sheets: int) -> None:
        self._sheets = sheets
        self._problems: list[Problem] = []
        self._by_object: dict[tuple[int, int], Remark] = {}
        self._replies: list[tuple[DictionaryObject, int, str, str, str]] = []
        self._remarks: list[Remark] = []

    def read(self, data: bytes) -> ReturnedCopy:
        reader = PdfReader(BytesIO(data))
        if reader.is_encrypted:
            raise InputErrors([Problem(DOCUMENT, "an encrypted file", "a copy saved without a password")])
        count = len(reader.pages)
        if count > MOST_PAGES:
            raise InputErrors([Problem(DOCUMENT, f"{count} pages", f"at most {MOST_PAGES} pages")])
        for number, page in enumerate(reader.pages, start=1):
            told = [each for each in self._annotations(page, number) if self._is_remark(each[1])]
            if not told:
                continue
            sheet = self._sheet(page, number, count)
            if sheet is None:
                found = f"{len(told)} remark{'' if len(told) == 1 else 's'} on a page of another document"
                self._problems.append(Problem(f"page {number}", found, "remarks on sheets of this document"))
                continue
            for reference, annotation in told:
                self._take(reference, annotation, sheet)
        self._answer()
        return ReturnedCopy(tuple(self._remarks), tuple(self._problems))

    def _sheet(self, page: DictionaryObject, number: int, count: int) -> int | None:
        """Return which sheet of the issued document a page is: as it says, else by its place."""
        sheet = sheet_in(page)
        if sheet is None and count == self._sheets:
            sheet = number
        return sheet if sheet is not None and 1 <= sheet <= self._sheets else None

    def _annotations(
        self, page: DictionaryObject, number: int
    ) -> Iterator[tuple[tuple[int, int] | None, DictionaryObject]]:
        listed = page.get("/Annots")
        listed = listed.get_object() if listed is not None else None
        if not isinstance(listed, ArrayObject):
            return
        if len(listed) > MOST_ON_A_PAGE:
            found = f"{len(listed)} annotations"
            self._problems.append(Problem(f"page {number}", found, f"at most {MOST_ON_A_PAGE} are read"))
        for each in list.__iter__(listed[:MOST_ON_A_PAGE]):
            reference = (each.idnum, each.generation) if isinstance(each, IndirectObject) else None
            annotation = each.get_object()
            if isinstance(annotation, DictionaryObject):
                yield reference, annotation

    def _is_remark(self, annotation: DictionaryObject) -> bool:
        return str(annotation.get("/Subtype", "")) in KINDS

    def _take(self, reference: tuple[int, int] | None, annotation: DictionaryObject, sheet: int) -> None:
        kind = str(annotation.get("/Subtype"))
        text, person = _text(annotation, "/Contents", LONGEST_TEXT), _text(annotation, "/T", LONGEST_NAME)
        answers = annotation.get("/IRT")
        if "/StateModel" in annotation:
            return
        frame = _frame(annotation)
        name = _text(annotation, "/NM", 200)
        place = name or "" if frame is None else name or ",".join(f"{each:.0f}" for each in _corners(frame))
        key = hashlib.sha256(repr((sheet, kind, place, person, text)).encode()).hexdigest()[:32]
        if answers is not None:
            target = answers.get_object()
            if isinstance(target, DictionaryObject) and text:
                self._replies.append((annotation, sheet, key, person, text))
            return
        if frame is None:
            problem = Problem(f"sheet {sheet}", f"a remark without a place: {text[:60]}", "a rectangle")
            self._problems.append(problem)
            return
        if not text and kind in _SAYS_NOTHING:
            return
        if len(self._remarks) == MOST_REMARKS:
            raise InputErrors(
                [Problem(DOCUMENT, f"more than {MOST_REMARKS} remarks", f"at most {MOST_REMARKS}")]
            )
        said = text or f"{KINDS[kind]}, without a word."
        remark = Remark(key, sheet, KINDS[kind], said, person, frame, kind in _POINTS)
        self._remarks.append(remark)
        if reference is not None:
            self._by_object[reference] = remark

    def _answer(self) -> None:
        """Put each answer to the remark it leads to, over answers in between; one to nothing is a remark."""
        for annotation, sheet, key, person, text in self._replies:
            remark = self._answered(annotation)
            if remark is None:
                frame = _frame(annotation)
                if frame is not None:
                    self._remarks.append(Remark(key, sheet, "Note", text, person, frame, True))
                continue
            remark.replies.append((key, person, text))

    def _answered(self, annotation: DictionaryObject) -> Remark | None:
        node: Any = annotation
        for _ in range(_MOST_DEEP):
            answers = node.raw_get("/IRT") if "/IRT" in node else None
            if answers is None:
                return None
            if isinstance(answers, IndirectObject):
                found = self._by_object.get((answers.idnum, answers.generation))
                if found is not None:
                    return found
            node = answers.get_object()
            if not isinstance(node, DictionaryObject):
                return None
        return None


def _text(annotation: DictionaryObject, name: str, longest: int) -> str:
    value = annotation.get(name)
    value = value.get_object() if value is not None else None
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    if not isinstance(value, str):
        return ""
    told = value.replace("\r\n", "\n").replace("\r", "\n")[: 2 * longest]
    kept = "".join(char for char in told if char == "\n" or char.isprintable()).strip()
    return kept if len(kept) <= longest else f"{kept[: longest - 1]}…"


def _frame(annotation: DictionaryObject) -> Frame | None:
    """Return the rectangle of an annotation; that of the first marked line where it marks text."""
    quads = _numbers(annotation.get("/QuadPoints"), 8 * _MOST_QUADS)
    if len(quads) >= 8:
        xs, ys = quads[0:8:2], quads[1:8:2]
        return Frame(min(xs), min(ys), max(xs), max(ys))
    rect = _numbers(annotation.get("/Rect"), 4)
    if len(rect) != 4:
        return None
    return Frame(min(rect[0], rect[2]), min(rect[1], rect[3]), max(rect[0], rect[2]), max(rect[1], rect[3]))


def _numbers(value: Any, most: int) -> list[float]:
    """Return an array of numbers as floats, none where any of it is no number that a sheet can hold."""
    value = value.get_object() if value is not None else None
    if not isinstance(value, ArrayObject) or len(value) > most:
        return []
    found = []
    for each in value:
        number = each.get_object() if isinstance(each, IndirectObject) else each
        if isinstance(number, bool) or not isinstance(number, int | float):
            return []
        told = float(number)
        if not math.isfinite(told) or abs(told) > _FARTHEST:
            return []
        found.append(told)
    return found


def _corners(frame: Frame) -> tuple[float, float, float, float]:
    return frame.left, frame.bottom, frame.right, frame.top
