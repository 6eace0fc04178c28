"""The drawing sheet: frame with zones, title block, notes strip.

Zone letters run down the sides and zone figures along the top and the bottom, so that a reader can
say "look at C4". The letters I and O are left out, as they are read as figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

from specapp.documents.fonts import BOLD, TEXT, Lettering
from specapp.documents.ink import HAIRLINE, THICK, THIN, Ink
from specapp.documents.options import PageSize
from specapp.documents.wrapping import fitted, wrapped

MM: Final = 72 / 25.4

# Width and height upright [pt]: ISO 216 and the North American sizes.
_UPRIGHT: Final[dict[PageSize, tuple[float, float]]] = {
    "A4": (210 * MM, 297 * MM),
    "A3": (297 * MM, 420 * MM),
    "Letter": (612.0, 792.0),
    "Tabloid": (792.0, 1224.0),
}
_LARGE: Final = frozenset({"A3", "Tabloid"})

_EDGE: Final = 14.0  # trim edge to the outer line
_BAND: Final = 10.0  # between the outer line and the frame, holds the zones
_STRIP: Final = 74.0  # notes and title block along the bottom
_AIR: Final = 12.0  # between the frame and what is set inside
_GUTTER: Final = 22.0
_ZONE: Final = 50 * MM
_LETTERS: Final = "ABCDEFGHJKLMNPQRSTUVWXYZ"
_BLOCK_WIDTH: Final = 318.0
_ROW: Final = _STRIP / 4


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What the title block says on every sheet."""

    project: str
    machine: str
    title: str
    revision: str
    date: str
    standing: str
    setting_units: str
    to_confirm: str
    prepared: str
    checked: str
    approved: str


@dataclass(frozen=True, slots=True)
class Frame:
    """A rectangle that content is set into [pt]."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom


@dataclass(frozen=True)
class Sheet:
    """A paper size in one orientation and the rectangles on it."""

    width: float
    height: float
    large: bool

    @classmethod
    def of(cls, size: PageSize, *, landscape: bool) -> Sheet:
        """Return the sheet; large sizes are always landscape, as they are read on a table."""
        width, height = _UPRIGHT[size]
        large = size in _LARGE
        return cls(height, width, large) if landscape or large else cls(width, height, large)

    @cached_property
    def border(self) -> Frame:
        inset = _EDGE + _BAND
        return Frame(inset, inset, self.width - inset, self.height - inset)

    @cached_property
    def body(self) -> Frame:
        b = self.border
        return Frame(b.left + _AIR, b.bottom + _STRIP + _AIR, b.right - _AIR, b.top - _AIR)

    def columns(self, *, running_text: bool) -> tuple[Frame, ...]:
        """Return the frames to fill in turn: two columns for running text on a large sheet."""
        body = self.body
        if not (running_text and self.large):
            return (body,)
        middle = (body.left + body.right) / 2
        return (
            Frame(body.left, body.bottom, middle - _GUTTER / 2, body.top),
            Frame(middle + _GUTTER / 2, body.bottom, body.right, body.top),
        )


def draw_sheet(ink: Ink, sheet: Sheet, block: TitleBlock, notes: tuple[str, ...], watermark: str) -> None:
    """Draw everything that is the same on every sheet of one orientation."""
    b = sheet.border
    if watermark:
        _draw_watermark(ink, sheet, watermark)
    ink.rectangle(_EDGE, _EDGE, sheet.width - 2 * _EDGE, sheet.height - 2 * _EDGE, HAIRLINE)
    ink.rectangle(b.left, b.bottom, b.width, b.height, THICK * 0.7)
    _draw_zones(ink, sheet)
    ink.line(b.left, b.bottom + _STRIP, b.right, b.bottom + _STRIP, THIN)
    _draw_notes(ink, b, notes)
    _draw_title_block(ink, b, block)


def draw_sheet_number(ink: Ink, sheet: Sheet, number: int, total: int) -> None:
    """Fill in "sheet n of m", the one entry of the title block that differs."""
    b = sheet.border
    x = b.right - _BLOCK_WIDTH + _BLOCK_WIDTH * 0.78
    ink.text(x + 4, b.bottom + 4.5, f"{number} of {total}", BOLD, 7.5)


def _even(length: float) -> int:
    return max(2, 2 * round(length / _ZONE / 2))


def _draw_zones(ink: Ink, sheet: Sheet) -> None:
    b = sheet.border
    across, down = _even(b.width), _even(b.height)
    low, high = _EDGE + 2.6, sheet.height - _EDGE - 7.6
    for i in range(across):
        x = b.left + b.width * (i + 0.5) / across
        ink.text_centred(x, low, str(i + 1), TEXT, 6.5)
        ink.text_centred(x, high, str(i + 1), TEXT, 6.5)
        if i:
            edge = b.left + b.width * i / across
            ink.line(edge, _EDGE, edge, b.bottom)
            ink.line(edge, b.top, edge, sheet.height - _EDGE)
    for i in range(down):
        y = b.top - b.height * (i + 0.5) / down - 2.3
        ink.text_centred(_EDGE + _BAND / 2, y, _LETTERS[i], TEXT, 6.5)
        ink.text_centred(sheet.width - _EDGE - _BAND / 2, y, _LETTERS[i], TEXT, 6.5)
        if i:
            edge = b.top - b.height * i / down
            ink.line(_EDGE, edge, b.left, edge)
            ink.line(b.right, edge, sheet.width - _EDGE, edge)


def _draw_notes(ink: Ink, border: Frame, notes: tuple[str, ...]) -> None:
    lettering = ink.lettering
    width = border.width - _BLOCK_WIDTH - 2 * _AIR
    y = border.bottom + _STRIP - 10.5
    for note in notes:
        for line in wrapped(lettering, lettering.clean(note), width, TEXT, 5.8):
            if y < border.bottom + 3:
                return
            ink.text(border.left + _AIR, y, line, TEXT, 5.8)
            y -= 7.3
        y -= 2.2


def _draw_title_block(ink: Ink, border: Frame, block: TitleBlock) -> None:
    rows = (
        ((0.62, "Project", block.project), (0.38, "Machine", block.machine)),
        ((0.62, "Title", block.title), (0.16, "Revision", block.revision), (0.22, "Date", block.date)),
        (
            (0.40, "Standing", block.standing),
            (0.22, "Setting units", block.setting_units),
            (0.38, "To be confirmed", block.to_confirm),
        ),
        (
            (0.26, "Prepared", block.prepared),
            (0.26, "Checked", block.checked),
            (0.26, "Approved", block.approved),
            (0.22, "Sheet", ""),
        ),
    )
    left = border.right - _BLOCK_WIDTH
    ink.line(left, border.bottom, left, border.bottom + _STRIP, THIN)
    for i, row in enumerate(rows):
        bottom = border.bottom + _STRIP - (i + 1) * _ROW
        if i:
            ink.line(left, bottom + _ROW, border.right, bottom + _ROW)
        x = left
        for j, (share, caption, value) in enumerate(row):
            width = share * _BLOCK_WIDTH
            if j:
                ink.line(x, bottom, x, bottom + _ROW)
            ink.text(x + 4, bottom + _ROW - 6.2, caption, TEXT, 4.8)
            line, size = fitted(ink.lettering, ink.lettering.clean(value), width - 7, BOLD, 7.5, 5.5)
            ink.text(x + 4, bottom + 4.5, line, BOLD, size)
            x += width


def _draw_watermark(ink: Ink, sheet: Sheet, watermark: str) -> None:
    lettering: Lettering = ink.lettering
    line = lettering.clean(watermark)
    reach = (sheet.body.width**2 + sheet.body.height**2) ** 0.5 * 0.8
    size = min(90.0, reach / max(lettering.width(line, BOLD, 1.0), 0.1))
    half = lettering.width(line, BOLD, size) / 2
    middle_x = (sheet.body.left + sheet.body.right) / 2
    middle_y = (sheet.body.bottom + sheet.body.top) / 2
    ink.save()
    ink.pen(0.2)
    ink.literal("1 Tr")  # outlines only: what is set over them stays readable
    turn = 0.7071
    ink.text_turned(
        middle_x - half * turn + size * 0.25, middle_y - half * turn - size * 0.25, line, 45.0, BOLD, size
    )
    ink.restore()
