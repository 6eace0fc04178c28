"""Breaking clean text into lines of a given width."""

from __future__ import annotations

from typing import Final

from specapp.documents.fonts import Lettering

_BREAK_AFTER: Final = frozenset("-/_.,;:)]·")


def wrapped(lettering: Lettering, text: str, width: float, font: str, size: float) -> list[str]:
    """Return the lines of a clean text; a word wider than a line is broken, nothing is dropped."""
    lines: list[str] = []
    for paragraph in text.split("\n"):
        if lettering.width(paragraph, font, size) <= width:
            lines.append(paragraph)
        else:
            lines.extend(_lines(lettering, paragraph, width, font, size))
    return lines


def _lines(lettering: Lettering, paragraph: str, width: float, font: str, size: float) -> list[str]:
    space = lettering.width(" ", font, size)
    lines: list[str] = []
    words: list[str] = []
    used = 0.0
    for word in paragraph.split(" "):
        length = lettering.width(word, font, size)
        if words and used + space + length > width:
            lines.append(" ".join(words))
            words, used = [], 0.0
        if length > width:
            *full, word = _pieces(lettering, word, width, font, size)
            lines.extend(full)
            length = lettering.width(word, font, size)
        used += length + (space if words else 0.0)
        words.append(word)
    lines.append(" ".join(words))
    return lines


def _pieces(lettering: Lettering, word: str, width: float, font: str, size: float) -> list[str]:
    """Break a word that is wider than a line, after a joint near the end of the line if there is one."""
    pieces: list[str] = []
    start = 0
    used = 0.0
    joint = 0
    for i, character in enumerate(word):
        advance = lettering.width(character, font, size)
        if used + advance > width and i > start:
            end = joint if joint > start + (i - start) // 2 else i
            pieces.append(word[start:end])
            used = sum(lettering.width(c, font, size) for c in word[end:i])
            start = end
        used += advance
        if character in _BREAK_AFTER:
            joint = i + 1
    pieces.append(word[start:])
    return pieces


def fitted(
    lettering: Lettering, text: str, width: float, font: str, size: float, smallest: float
) -> tuple[str, float]:
    """Return a single line that fits and its size: set smaller first, then cut with an ellipsis."""
    line = " ".join(text.split())
    natural = lettering.width(line, font, size)
    if natural <= width:
        return line, size
    reduced = max(smallest, size * width / natural)
    if lettering.width(line, font, reduced) <= width:
        return line, reduced
    while line and lettering.width(line + "…", font, smallest) > width:
        line = line[:-1]
    return line.rstrip() + "…", smallest
