"""How much room a text takes, near enough to keep labels apart without a font engine."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from math import cos, radians, sin

from specapp.drawings.scene import Text

# Advance widths of DejaVu Sans, thousandths of the size, for U+0020 to U+007E. The drawings are set
# in the condensed face of the same family, a tenth narrower, so the estimate is on the safe side.
_ASCII = (
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632, 575, 775,
    752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685, 611, 685, 390,
    337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579, 278, 974, 634, 612,
    635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
)  # fmt: skip
_OTHER = 840  # the widest of the signs used here: arrows, comparison signs, plus-minus
_WIDE = 1050  # a full em and a little: ideographs and the like
_BOLD = 1.15
_BREAKS = re.compile(r"[^\S\u00a0\u202f]+")
_ASCENT = 0.76
_DESCENT = 0.24


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle on the sheet, mm."""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box, clearance_mm: float = 0.0) -> bool:
        return (
            self.left < other.right + clearance_mm
            and other.left < self.right + clearance_mm
            and self.top < other.bottom + clearance_mm
            and other.top < self.bottom + clearance_mm
        )

    def inside(self, width_mm: float, height_mm: float) -> bool:
        return self.left >= 0 and self.top >= 0 and self.right <= width_mm and self.bottom <= height_mm


def _advance(character: str) -> int:
    code = ord(character)
    if 0x20 <= code <= 0x7E:
        return _ASCII[code - 0x20]
    if character in "\u00a0\u202f":
        return _ASCII[0]
    if unicodedata.combining(character):
        return 0
    if unicodedata.east_asian_width(character) in "WF":
        return _WIDE
    return _OTHER


@lru_cache(maxsize=8192)
def text_width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Return the estimated width of one line of text."""
    width = sum(_advance(character) for character in text) * size_mm / 1000
    return width * _BOLD if bold else width


def text_box(text: Text) -> Box:
    """Return the upright box around a text, turned text included."""
    width = text_width_mm(text.text, text.size_mm, bold=text.weight == "bold")
    left = {"start": 0.0, "middle": -width / 2, "end": -width}[text.anchor]
    top, bottom = -_ASCENT * text.size_mm, _DESCENT * text.size_mm
    if not text.rotation:
        return Box(text.x + left, text.y + top, text.x + left + width, text.y + bottom)
    c, s = cos(radians(text.rotation)), sin(radians(text.rotation))
    corners = [(x * c - y * s, x * s + y * c) for x in (left, left + width) for y in (top, bottom)]
    return Box(
        text.x + min(x for x, _ in corners),
        text.y + min(y for _, y in corners),
        text.x + max(x for x, _ in corners),
        text.y + max(y for _, y in corners),
    )


def shortened(text: str, size_mm: float, width_mm: float, *, bold: bool = False) -> str:
    """Return the text, or as much of it as fits the width with an ellipsis."""
    if text_width_mm(text, size_mm, bold=bold) <= width_mm:
        return text
    kept = text
    while kept and text_width_mm(kept + "\u2026", size_mm, bold=bold) > width_mm:
        kept = kept[:-1]
    return kept.rstrip() + "\u2026"


def wrapped(text: str, size_mm: float, width_mm: float, *, bold: bool = False) -> tuple[str, ...]:
    """Return the text broken at spaces that allow it into lines that fit; a long word is shortened."""
    lines: list[str] = []
    current = ""
    for word in _BREAKS.split(text.strip()):
        trial = f"{current} {word}" if current else word
        if current and text_width_mm(trial, size_mm, bold=bold) > width_mm:
            lines.append(current)
            current = word
        else:
            current = trial
    if current:
        lines.append(current)
    return tuple(shortened(line, size_mm, width_mm, bold=bold) for line in lines)
