"""The text face, what it can print, and text made fit to print.

Every user text passes `Lettering.clean`: control characters become spaces, and a character the face
cannot set becomes a visible marker. Right-to-left scripts count as missing, because setting them
needs reordering and joining that the documents do not do: a marker is honest, mirrored words are not.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import Final

from reportlab.pdfbase.ttfonts import TTFont

import specapp

FONT_FOLDER: Final = Path(specapp.__file__).resolve().parent.parent / "static" / "fonts"
TEXT: Final = "DejaVuSansCondensed"
BOLD: Final = "DejaVuSansCondensed-Bold"
MARKER: Final = "▯"

_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
_ASCII = "".join(map(chr, range(0x20, 0x7F)))
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


class _Cleaned(dict[str, str]):
    """Texts fit to print by the texts as given; line feeds stay, as they part the lines of a cell.

    ``missing`` gathers the characters that had to be replaced by the marker.
    """

    def __init__(self) -> None:
        super().__init__()
        self.missing: set[str] = set()

    def __missing__(self, text: str) -> str:
        if text.isascii() and text.isprintable():
            cleaned = text
        else:
            normal = unicodedata.normalize("NFC", text)
            cleaned = "".join(c if c == "\n" else _printable(c) for c in normal)
            if MARKER in cleaned:
                self.missing.update(missing_glyphs(text))
        self[text] = cleaned
        return cleaned


class _Widths(dict[str, float]):
    """Widths of clean lines in one face [thousandths of the size]."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._advance = {chr(code): width for code, width in face(name).face.charWidths.items()}

    def __missing__(self, line: str) -> float:
        width: float = sum(map(self._advance.__getitem__, line))
        self[line] = width
        return width


class _Encoded(dict[str, tuple[tuple[str, str], ...]]):
    """Clean lines in one face as (font resource, PDF string) pairs, one a subset of the face."""

    def __init__(self, name: str, pdf_document: object) -> None:
        super().__init__()
        self._face = face(name)
        self._document = pdf_document
        # The first subset of a face holds the printable ASCII characters at their own codes.
        ((subset, codes),) = self._face.splitString(_ASCII, pdf_document)
        if (subset, codes) != (0, _ASCII.encode("ascii")):
            raise RuntimeError(f"the first subset of {name} does not keep ASCII characters at their codes")
        self._codes = {character: (0, ord(character)) for character in _ASCII}
        self._first = self._face.getSubsetInternalName(0, pdf_document)

    def __missing__(self, line: str) -> tuple[tuple[str, str], ...]:
        pairs = self[line] = ((self._first, _literal(line)),) if line.isascii() else self._split(line)
        return pairs

    def _split(self, line: str) -> tuple[tuple[str, str], ...]:
        codes = self._codes
        for character in set(line).difference(codes):
            ((subset, code),) = self._face.splitString(character, self._document)
            codes[character] = (subset, code[0])
        pairs = []
        for subset, run in groupby(map(codes.__getitem__, line), key=itemgetter(0)):
            resource = self._face.getSubsetInternalName(subset, self._document)
            pairs.append((resource, f"<{bytes(code for _, code in run).hex()}>"))
        return tuple(pairs)


def _literal(line: str) -> str:
    if "\\" in line or "(" in line or ")" in line:
        line = line.replace("\\", r"\\").replace("(", r"\(").replace(")", r"\)")
    return f"({line})"


class Lettering:
    """The text of one PDF: cleaned, measured and encoded, each string once.

    The tables belong to one document because the encoding does: the subset of a face holds only the
    glyphs its document uses.
    """

    def __init__(self, pdf_document: object) -> None:
        self.cleaned = _Cleaned()
        self.widths = {name: _Widths(name) for name in (TEXT, BOLD)}
        self.strings = {name: _Encoded(name, pdf_document) for name in (TEXT, BOLD)}

    def clean(self, text: str) -> str:
        """Return a text fit to print."""
        return self.cleaned[text]

    def missing(self) -> tuple[str, ...]:
        """Return the characters met so far that the face cannot set, in code order."""
        return tuple(sorted(self.cleaned.missing))

    def width(self, line: str, font: str, size: float) -> float:
        """Return the width of one clean line [pt]."""
        return self.widths[font][line] * size / 1000
