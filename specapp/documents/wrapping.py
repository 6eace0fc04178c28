"""Breaking clean text into lines of a given width."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from specapp.documents.fonts import Lettering

_BREAK_AFTER: Final = frozenset("-/_.,;:)]·")


def wrapped(lettering: Lettering, text: str, width: float, font: str, size: float) -> list[str]:
    """Return the lines of a clean text; a word wider than a line is broken, nothing is dropped."""
    widths = lettering.widths[font]
    limit = width * 1000 / size
    if "\n" not in text and widths[text] <= limit:
        return [text]
    lines: list[str] = []
    for paragraph in text.split("\n"):
        if widths[paragraph] <= limit:
            lines.append(paragraph)
        else:
            lines.extend(_lines(widths, paragraph, limit))
    return lines


def _lines(widths: Mapping[str, float], paragraph: str, limit: float) -> list[str]:
    space = widths[" "]
    lines: list[str] = []
    words: list[str] = []
    used = 0.0
    for word in paragraph.split(" "):
        length = widths[word]
        if words and used + space + length > limit:
            lines.append(" ".join(words))
            words, used = [], 0.0
        if length > limit:
            *full, word = _pieces(widths, word, limit)
            lines.extend(full)
            length = widths[word]
        used += length + (space if words else 0.0)
        words.append(word)
    lines.append(" ".join(words))
    return lines


def _pieces(widths: Mapping[str, float], word: str, limit: float) -> list[str]:
    """Break a word that is wider than a line, after a joint near the end of the line if there is one."""
    pieces: list[str] = []
    start = 0
    used = 0.0
    joint = 0
    for i, character in enumerate(word):
        advance = widths[character]
        while used + advance > limit and i > start:
            end = joint if joint > start + (i - start) // 3 else i
            pieces.append(word[start:end])
            used = sum(widths[c] for c in word[end:i])
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
