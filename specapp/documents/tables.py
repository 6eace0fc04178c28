"""Schedules: columns that fit, rows that break well, headers that repeat.

A cell is a plain string; line feeds part its lines. A cell that begins with the bar of a stopped
state is hatched, one that begins with the pointer of a governing value is set bold: the marks carry
the styling, so a row is nothing but its words.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD, TEXT, Lettering
from specapp.documents.ink import HAIRLINE, THIN
from specapp.documents.marks import BAR, GOVERNS
from specapp.documents.wrapping import wrapped

SIZE: Final = 6.8
LEADING: Final = 8.4
HEAD_SIZE: Final = 6.2
HEAD_LEADING: Final = 7.4
_PAD_X: Final = 4.0
_PAD_Y: Final = 2.3
_LONGEST_WORD: Final = 92.0  # a longer word is broken rather than given a column of its own
_STRETCH: Final = 1.5

Align = Literal["left", "right", "centre"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, alignment, and whether it is repeated when the table is split sideways.

    ``widest`` caps the natural width [pt]; a wider cell is wrapped.
    """

    heading: str
    align: Align = "left"
    repeat: bool = False
    bold: bool = False
    widest: float = 230.0


@dataclass(frozen=True, slots=True)
class Group:
    """A row that names the rows after it."""

    title: str


@dataclass(frozen=True, slots=True)
class Table:
    columns: tuple[Column, ...]
    rows: Sequence[tuple[str, ...] | Group]
    size: float = SIZE


@dataclass(slots=True)
class _Band:
    """The columns set side by side on one sheet, with their widths."""

    columns: list[int]
    widths: list[float]


@dataclass(slots=True)
class _Row:
    lines: list[list[str]]
    height: float
    group: str = ""
    fonts: list[str] = field(default_factory=list)


def set_table(book: Book, table: Table) -> None:
    """Set a table from the height reached, over as many frames as it takes."""
    if not table.rows:
        return
    _Setter(book, table).set()


class _Setter:
    def __init__(self, book: Book, table: Table) -> None:
        self.book = book
        self.table = table
        self.lettering: Lettering = book.lettering
        self.leading = table.size * LEADING / SIZE
        clean = self.lettering.clean
        self.cells = [row if isinstance(row, Group) else tuple(map(clean, row)) for row in table.rows]
        self.headings = [clean(column.heading) for column in table.columns]
        self.bands = self._bands()
        widths = {
            column: width
            for band in self.bands
            for column, width in zip(band.columns, band.widths, strict=True)
        }
        self.widths = [widths[i] for i in range(len(table.columns))]
        self.heads = [
            wrapped(self.lettering, heading, self.widths[i] - 2 * _PAD_X, BOLD, HEAD_SIZE)
            for i, heading in enumerate(self.headings)
        ]
        self.head_height = max(map(len, self.heads)) * HEAD_LEADING + 2 * _PAD_Y + 1

    # Widths

    def _bands(self) -> list[_Band]:
        natural, least = self._wanted()
        available = self.book.frame.width
        if sum(least) <= available:
            columns = list(range(len(natural)))
            return [_Band(columns, _shared(natural, least, available))]
        repeated = [i for i, column in enumerate(self.table.columns) if column.repeat]
        tag_width = sum(least[i] for i in repeated)
        bands: list[list[int]] = [[]]
        used = tag_width
        for i in range(len(natural)):
            if i in repeated:
                continue
            if bands[-1] and used + least[i] > available:
                bands.append([])
                used = tag_width
            bands[-1].append(i)
            used += least[i]
        result: list[_Band] = []
        for band in bands:
            columns = sorted(repeated + band)
            widths = _shared([natural[i] for i in columns], [least[i] for i in columns], available)
            if result:  # the repeated columns keep the width of the first band, as their rows do
                first = dict(zip(result[0].columns, result[0].widths, strict=True))
                widths = [
                    first.get(i, w) if i in repeated else w for i, w in zip(columns, widths, strict=True)
                ]
                excess = sum(widths) - available
                own = [k for k, i in enumerate(columns) if i not in repeated]
                if excess > 0 and own:
                    for k in own:
                        widths[k] -= excess / len(own)
            result.append(_Band(columns, widths))
        return result

    def _wanted(self) -> tuple[list[float], list[float]]:
        """Return the natural and the least width of each column."""
        measure = self.lettering.width
        natural, least = [], []
        size = self.table.size
        for i, column in enumerate(self.table.columns):
            font = BOLD if column.bold else TEXT
            widest = 0.0
            longest_word = max((measure(w, BOLD, HEAD_SIZE) for w in self.headings[i].split()), default=0.0)
            for text in {row[i] for row in self.cells if not isinstance(row, Group)}:
                if not text:
                    continue
                face = BOLD if text[0] == GOVERNS else font
                for line in text.split("\n") if "\n" in text else (text,):
                    width = measure(line, face, size)
                    if width > widest:
                        widest = width
                    if width > longest_word:
                        for word in line.split(" "):
                            longest_word = max(longest_word, min(measure(word, face, size), _LONGEST_WORD))
            heading = min(measure(self.headings[i], BOLD, HEAD_SIZE), 70.0)
            natural.append(max(min(widest, column.widest), heading, longest_word) + 2 * _PAD_X + 0.2)
            least.append(longest_word + 2 * _PAD_X + 0.2)
        return natural, least

    # Rows

    def _rows(self) -> list[_Row]:
        size, leading = self.table.size, self.leading
        column_fonts = [BOLD if column.bold else TEXT for column in self.table.columns]
        inner = [width - 2 * _PAD_X for width in self.widths]
        rows: list[_Row] = []
        most = self._most_lines()
        measure = self.lettering.width
        for row in self.cells:
            if isinstance(row, Group):
                title = self.lettering.clean(row.title)
                rows.append(_Row([], leading + 2 * _PAD_Y + 3, group=title))
                continue
            fonts = [
                BOLD if text and text[0] == GOVERNS else font
                for text, font in zip(row, column_fonts, strict=True)
            ]
            lines = [
                [text]
                if "\n" not in text and measure(text, font, size) <= width
                else wrapped(self.lettering, text, width, font, size)
                for text, font, width in zip(row, fonts, inner, strict=True)
            ]
            tallest = max(map(len, lines))
            for start in range(0, tallest, most):
                part = lines if tallest <= most else [cell[start : start + most] for cell in lines]
                height = max(map(len, part)) * leading + 2 * _PAD_Y
                rows.append(_Row(part, height, fonts=fonts))
        return rows

    def _most_lines(self) -> int:
        """Return how many lines a row may have before it is parted: what fits an empty frame."""
        usable = self.book.frame.height - 18 - self.head_height - 2 * _PAD_Y - self.leading
        return max(4, int(usable / self.leading) - 2)

    # Setting

    def set(self) -> None:
        rows = self._rows()
        start = 0
        while start < len(rows):
            end = self._fitting(rows, start)
            if end == start:
                self.book.next_frame()
                end = max(self._fitting(rows, start), start + 1)
            for number, band in enumerate(self.bands):
                height = self.head_height + sum(row.height for row in rows[start:end])
                if number and self.book.room < height + 14:
                    self.book.next_frame()
                elif number:
                    self.book.space(14)
                self._draw(band, rows[start:end], number)
            start = end
            if start < len(rows):
                self.book.next_frame()
        self.book.space(8)

    def _fitting(self, rows: list[_Row], start: int) -> int:
        """Return the end of the rows that fit; no group's name stands last, no last row alone."""
        room = self.book.room - self.head_height
        end = start
        while end < len(rows) and rows[end].height <= room:
            room -= rows[end].height
            end += 1
        if end == len(rows):
            return end
        if end == len(rows) - 1 and end - start > 2:
            end -= 1
        while end > start and rows[end - 1].group:
            end -= 1
        whole_frame = self.book.y == self.book.frame.top
        return start if end - start < 2 and not whole_frame else end

    def _draw(self, band: _Band, rows: list[_Row], number: int) -> None:
        book, ink = self.book, self.book.ink
        left = book.frame.left
        right = left + sum(band.widths)
        size, leading = self.table.size, self.leading
        y = book.y
        ink.line(left, y, right, y, THIN)
        edges = [left]
        for width in band.widths:
            edges.append(edges[-1] + width)
        bottom = y - self.head_height
        for k, column in enumerate(band.columns):
            head = self.heads[column]
            baseline = bottom + _PAD_Y + 1.6 + (len(head) - 1) * HEAD_LEADING
            for line in head:
                self._cell(edges[k], edges[k + 1], baseline, line, column, BOLD, HEAD_SIZE)
                baseline -= HEAD_LEADING
        if len(self.bands) > 1:
            part = f"columns, part {number + 1} of {len(self.bands)}"
            ink.text_right(book.frame.right, y + 2, part, TEXT, 5.5)
        y = bottom
        ink.line(left, y, right, y, THIN)
        for i, row in enumerate(rows):
            if row.group:
                if i:
                    ink.line(left, y, right, y, THIN)
                ink.text(left + _PAD_X, y - row.height + _PAD_Y + 2, row.group, BOLD, size + 0.2)
                y -= row.height
                continue
            if i and not rows[i - 1].group:
                ink.faint_line(left, y, right)
            first = y - _PAD_Y - size * 0.86
            for k, column in enumerate(band.columns):
                lines = row.lines[column]
                if not lines or lines == [""]:
                    continue
                if lines[0][:1] == BAR:
                    ink.hatch(edges[k] + 0.6, y - row.height + 0.6, band.widths[k] - 1.2, row.height - 1.2)
                baseline = first
                for line in lines:
                    self._cell(edges[k], edges[k + 1], baseline, line, column, row.fonts[column], size)
                    baseline -= leading
            y -= row.height
        ink.line(left, y, right, y, HAIRLINE)
        book.y = y

    def _cell(
        self, left: float, right: float, baseline: float, line: str, column: int, font: str, size: float
    ) -> None:
        align = self.table.columns[column].align
        if align == "left":
            self.book.ink.text(left + _PAD_X, baseline, line, font, size)
        elif align == "right":
            self.book.ink.text_right(right - _PAD_X, baseline, line, font, size)
        else:
            self.book.ink.text_centred((left + right) / 2, baseline, line, font, size)


def _shared(natural: list[float], least: list[float], available: float) -> list[float]:
    """Share out the width: everyone its natural width if that fits, else the widest give way first."""
    total = sum(natural)
    if total <= available:
        stretch = min(available / total, _STRETCH)
        return [width * stretch for width in natural]
    low, high = 0.0, max(natural)
    for _ in range(40):
        cap = (low + high) / 2
        if sum(max(min(n, cap), m) for n, m in zip(natural, least, strict=True)) > available:
            high = cap
        else:
            low = cap
    return [max(min(n, low), m) for n, m in zip(natural, least, strict=True)]
