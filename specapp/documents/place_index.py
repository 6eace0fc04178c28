"""Where on its sheets an issued document says what: rows and drawings, kept inside the file.

The index stands in the page-piece dictionaries of the sheets (ISO 32000, 14.5), which is where a program
keeps data of its own and which viewers leave alone. It is so under the same checksum as the sheet it
describes, and stays right after any change of the code that set the sheet. Whoever maps a remark in a
returned copy reads the index of the file that was issued, never that of the copy.

Lengths are points from the lower left corner of the sheet; those of groups are millimetres of their
drawing, from its upper left corner.
"""

from __future__ import annotations

from collections.abc import Iterable
from io import BytesIO
from typing import Any, Final

import msgspec
from pypdf import PdfReader
from pypdf.generic import DictionaryObject, StreamObject

from specapp.documents.sheet import Frame

PIECE: Final = "specapp"
SHEET: Final = "Sheet"


class RowPlace(msgspec.Struct, frozen=True, array_like=True):
    """A row of a table, or one cell of it where ``field`` names what the cell gives."""

    left: float
    bottom: float
    right: float
    top: float
    item: str
    field: str = ""


class GroupPlace(msgspec.Struct, frozen=True, array_like=True):
    """What a drawing shows of one item [mm of the drawing]."""

    left: float
    top: float
    right: float
    bottom: float
    item: str


class ScenePlace(msgspec.Struct, frozen=True, array_like=True):
    """A drawing: its name, its upper left corner [pt], points a millimetre, its size [mm], its items."""

    name: str
    left: float
    top: float
    scale: float
    width: float
    height: float
    groups: tuple[GroupPlace, ...]

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Return a point of the sheet [pt] in millimetres of the drawing."""
        return (x - self.left) / self.scale, (self.top - y) / self.scale

    def holds(self, x: float, y: float) -> bool:
        across, down = self.at(x, y)
        return 0 <= across <= self.width and 0 <= down <= self.height


class SheetPlaces(msgspec.Struct):
    """What stands where on one sheet."""

    rows: list[RowPlace] = msgspec.field(default_factory=list)
    scenes: list[ScenePlace] = msgspec.field(default_factory=list)

    def add_row(self, frame: Frame, item: str, field: str = "") -> None:
        left, bottom = round(frame.left, 1), round(frame.bottom, 1)
        self.rows.append(RowPlace(left, bottom, round(frame.right, 1), round(frame.top, 1), item, field))

    def encoded(self) -> bytes:
        return msgspec.json.encode(self)


def places_in(issued: bytes) -> list[SheetPlaces]:
    """Return the index of a document issued here, a record a sheet; empty records where it has none.

    Only for files that this program has written: nothing here guards against a hostile one.
    """
    return [_of_page(page) for page in PdfReader(BytesIO(issued)).pages]


def _of_page(page: DictionaryObject) -> SheetPlaces:
    piece = _at(page, "/PieceInfo", f"/{PIECE}", "/Private", "/Places")
    if not isinstance(piece, StreamObject):
        return SheetPlaces()
    return msgspec.json.decode(piece.get_data(), type=SheetPlaces)


def sheet_in(page: DictionaryObject) -> int | None:
    """Return the number of a sheet, from 1, as a page of a copy says it; None where it says none."""
    number = _at(page, "/PieceInfo", f"/{PIECE}", "/Private", f"/{SHEET}")
    return int(number) if isinstance(number, int) and not isinstance(number, bool) else None


def _at(node: Any, *names: str) -> Any:
    for name in names:
        if not isinstance(node, DictionaryObject):
            return None
        found = node.get(name)
        node = found.get_object() if found is not None else None
    return node


def covered(rows: Iterable[RowPlace], frame: Frame) -> list[tuple[RowPlace, float]]:
    """Return the rows that a rectangle touches with the part of each row's height that it covers."""
    found = []
    for row in rows:
        across = min(row.right, frame.right) - max(row.left, frame.left)
        down = min(row.top, frame.top) - max(row.bottom, frame.bottom)
        if across > 0 and down > 0:
            found.append((row, down / max(row.top - row.bottom, 0.1)))
    return found
