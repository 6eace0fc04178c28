"""The text face, what it can print, and text made fit to print.

Every user text passes `Lettering.clean`: control characters become spaces, and a character the face
cannot set becomes a visible marker. Right-to-left scripts count as missing, because setting them
needs reordering and joining that the documents do not do: a marker is honest, mirrored words are not.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path
from typing import Final

from reportlab.pdfbase.ttfonts import TTFont

import specapp

FONT_FOLDER: Final = Path(specapp.__file__).resolve().parent.parent / "static" / "fonts"
TEXT: Final = "DejaVuSansCondensed"
BOLD: Final = "DejaVuSansCondensed-Bold"
MARKER: Final = "▯"

_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
_INVISIBLE = frozenset({"Cc", "Cf", "Zl", "Zp"})


@cache
def face(name: str) -> TTFont:
    """Return the face, parsed once a process."""
    return TTFont(name, str(FONT_FOLDER / f"{name}.ttf"), shapable=False)


@cache
def _printable(character: str) -> str:
    """Return what stands for one character in print: itself, a space, or the marker."""
    category = unicodedata.category(character)
    if category in _INVISIBLE or character == "\u00a0":
        return " "
    code = ord(character)
    if (
        unicodedata.bidirectional(character) in _RIGHT_TO_LEFT
        or code not in face(TEXT).face.charToGlyph
        or code not in face(BOLD).face.charToGlyph
    ):
        return MARKER
    return character


def missing_glyphs(text: str) -> tuple[str, ...]:
    """Return the characters of a text that print as the marker, each once, in code order."""
    characters = set(unicodedata.normalize("NFC", text)) - {MARKER}
    return tuple(sorted(c for c in characters if _printable(c) == MARKER))


def glyph_name(character: str) -> str:
    """Return how a missing character is named to the reader, "U+6F22 CJK UNIFIED IDEOGRAPH-6F22"."""
    return f"U+{ord(character):04X} {unicodedata.name(character, 'unnamed')}"


class Lettering:
    """The text of one PDF: cleaned, measured and encoded, each string once.

    The caches belong to one document because the encoding does: the subset of a face holds only the
    glyphs its document uses.
    """

    def __init__(self, pdf_document: object) -> None:
        self._document = pdf_document
        self._clean: dict[str, str] = {}
        self._widths: dict[tuple[str, str], float] = {}
        self._encoded: dict[tuple[str, str], tuple[tuple[str, str], ...]] = {}
        self._advance = {
            name: {chr(code): width for code, width in face(name).face.charWidths.items()}
            for name in (TEXT, BOLD)
        }

    def clean(self, text: str) -> str:
        """Return the text fit to print; line feeds stay, as they part the lines of a cell."""
        if text.isascii() and text.isprintable():
            return text
        cleaned = self._clean.get(text)
        if cleaned is None:
            normal = unicodedata.normalize("NFC", text)
            cleaned = "".join(c if c == "\n" else _printable(c) for c in normal)
            self._clean[text] = cleaned
        return cleaned

    def width(self, text: str, font: str, size: float) -> float:
        """Return the width of one clean line [pt]."""
        key = (text, font)
        units = self._widths.get(key)
        if units is None:
            units = self._widths[key] = sum(map(self._advance[font].__getitem__, text))
        return units * size / 1000

    def encoded(self, text: str, font: str) -> tuple[tuple[str, str], ...]:
        """Return one clean line as (font resource, PDF string) pairs, one a subset of the face."""
        key = (text, font)
        pairs = self._encoded.get(key)
        if pairs is None:
            the_face = face(font)
            pairs = self._encoded[key] = tuple(
                (the_face.getSubsetInternalName(subset, self._document), _pdf_string(codes))
                for subset, codes in the_face.splitString(text, self._document)
            )
        return pairs


def _pdf_string(codes: bytes) -> str:
    if codes.isascii() and (text := codes.decode("ascii")).isprintable():
        return "(" + text.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)") + ")"
    return f"<{codes.hex()}>"
