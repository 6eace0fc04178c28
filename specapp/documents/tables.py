"""Schedules: columns that fit, rows that break well, headers that repeat.

A cell is a plain string; line feeds part its lines. A cell that begins with the bar of a stopped
state is hatched, one that begins with the pointer of a governing value is set bold: the marks carry
the styling, so a row is nothing but its words. What a row is about stands beside it: from that the place
of the row is kept in an issued file, and a bar drawn in the margin of a row that the revision changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final, Literal

from specapp.documents.book import Book
from specapp.documents.fonts import BOLD, TEXT, Lettering
from specapp.documents.ink import HAIRLINE, THIN
from specapp.documents.marks import BAR, GOVERNS
from specapp.documents.row_marks import About, Spot, mark_rows
from specapp.documents.wording import NONE
from specapp.documents.wrapping import fitted, wrapped

SIZE: Final = 6.8
LEADING: Final = 8.4
HEAD_SIZE: Final = 6.2
HEAD_LEADING: Final = 7.4
_PAD_X: Final = 4.0
_PAD_Y: Final = 2.3
_LONGEST_WORD: Final = 92.0  # a longer word is broken rather than given a column of its own
_STRETCH: Final = 1.35
_BETWEEN: Final = 22.0  # between the strips of a narrow table
_FEWEST_TO_FOLD: Final = 12  # rows; a shorter table stays in one piece

_SILENT: Final = ("", NONE)

Align = Literal["left", "right", "centre"]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, alignment, and whether it is repeated when the table is split sideways.

    ``widest`` caps the natural width [pt]; a wider cell is wrapped. ``field`` is what the column gives of
    the item that its row is about, where a person can set that.
    """

    heading: str
    align: Align = "left"
    repeat: bool = False
    bold: bool = False
    widest: float = 230.0
    field: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """A row that names the rows after it."""

    title: str


@dataclass(frozen=True, slots=True)
class Table:
    """Columns and rows; ``about`` is empty, or says of each row what it is about, None of a group's name."""

    columns: tuple[Column, ...]
    rows: Sequence[tuple[str, ...] | Group]
    size: float = SIZE
    about: Sequence[About | None] = ()


def trimmed(
    columns: tuple[Column, ...],
    rows: Sequence[tuple[str, ...]],
    size: float = SIZE,
    about: Sequence[About | None] = (),
) -> Table:
    """Return a table without the columns in which no row says anything."""
    used = [
        i for i, column in enumerate(columns) if column.repeat or any(row[i] not in _SILENT for row in rows)
    ]
    kept = [tuple(row[i] for i in used) for row in rows]
    return Table(tuple(columns[i] for i in used), kept, size, about)


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
    about: About | None = None


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
        clean = self.lettering.cleaned.__getitem__
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
        natural, least = [], []
        heads = self.lettering.widths[BOLD]
        for i, column in enumerate(self.table.columns):
            heading = max(heads[word] for word in self.headings[i].split() or [""]) * HEAD_SIZE / 1000
            widest, longest_word = self._extent(i, column)
            longest_word = max(longest_word, heading)
            heading = min(heads[self.headings[i]] * HEAD_SIZE / 1000, 70.0)
            natural.append(max(min(widest, column.widest), heading, longest_word) + 2 * _PAD_X + 0.2)
            least.append(longest_word + 2 * _PAD_X + 0.2)
        return natural, least

    def _extent(self, i: int, column: Column) -> tuple[float, float]:
        """Return the widths of the widest line of a column and of its longest word."""
        widths = self.lettering.widths
        font = BOLD if column.bold else TEXT
        scale = self.table.size / 1000
        widest = longest_word = 0.0
        for text in {row[i] for row in self.cells if not isinstance(row, Group)}:
            if not text:
                continue
            face = widths[BOLD if text[0] == GOVERNS else font]
            for line in text.split("\n") if "\n" in text else (text,):
                width = face[line] * scale
                if width > widest:
                    widest = width
                if width > longest_word:
                    for word in line.split(" ") if " " in line else (line,):
                        length = face[word] * scale
                        if length > longest_word:
                            longest_word = min(length, _LONGEST_WORD)
        return widest, longest_word

    # Rows

    def _rows(self) -> list[_Row]:
        size, leading = self.table.size, self.leading
        column_fonts = [BOLD if column.bold else TEXT for column in self.table.columns]
        inner = [width - 2 * _PAD_X for width in self.widths]
        rows: list[_Row] = []
        most = self._most_lines()
        widths = self.lettering.widths
        scale = size / 1000
        about = self.table.about or (None,) * len(self.cells)
        for row, subject in zip(self.cells, about, strict=True):
            if isinstance(row, Group):
                width = sum(self.bands[0].widths) - 2 * _PAD_X
                title, _ = fitted(self.lettering, self.lettering.clean(row.title), width, BOLD, size, size)
                rows.append(_Row([], leading + 2 * _PAD_Y + 3, group=title))
                continue
            fonts = [
                BOLD if text and text[0] == GOVERNS else font
                for text, font in zip(row, column_fonts, strict=True)
            ]
            lines = [
                [text]
                if "\n" not in text and widths[font][text] * scale <= width
                else wrapped(self.lettering, text, width, font, size)
                for text, font, width in zip(row, fonts, inner, strict=True)
            ]
            tallest = max(map(len, lines))
            for start in range(0, tallest, most):
                part = lines if tallest <= most else [cell[start : start + most] for cell in lines]
                height = max(map(len, part)) * leading + 2 * _PAD_Y
                rows.append(_Row(part, height, fonts=fonts, about=subject))
        return rows

    def _most_lines(self) -> int:
        """Return how many lines a row may have before it is parted: what fits an empty frame."""
        usable = self.book.frame.height - 18 - self.head_height - 2 * _PAD_Y - self.leading
        return max(4, int(usable / self.leading) - 2)

    # Setting

    def set(self) -> None:
        rows = self._rows()
        across = self._strips()
        start = 0
        while start < len(rows):
            if self._fits_nothing(rows, start):
                self.book.next_frame()
            if across > 1:
                start = self._set_strips(rows, start, across)
            else:
                end = max(self._fitting(rows, start, self._depth), start + 1)
                self._set_bands(rows[start:end])
                start = end
            if start < len(rows):
                self.book.next_frame()
        self.book.space(8)

    @property
    def _depth(self) -> float:
        """Height that rows may take in what is left of the frame."""
        return self.book.room - self.head_height

    def _fits_nothing(self, rows: list[_Row], start: int) -> bool:
        whole_frame = self.book.y == self.book.frame.top
        end = self._fitting(rows, start, self._depth)
        return not whole_frame and end - start < min(2, len(rows) - start)

    def _fitting(self, rows: list[_Row], start: int, depth: float) -> int:
        """Return the end of the rows that fit; no group's name stands last, no last row alone."""
        end = start
        while end < len(rows) and rows[end].height <= depth + 0.01:
            depth -= rows[end].height
            end += 1
        if end == len(rows):
            return end
        if end == len(rows) - 1 and end - start > 2:
            end -= 1
        while end > start and rows[end - 1].group:
            end -= 1
        return end

    def _set_bands(self, rows: list[_Row]) -> None:
        """Set rows once for each band of columns, one band under or after another."""
        height = self.head_height + sum(row.height for row in rows)
        for number, band in enumerate(self.bands):
            if number and self.book.room < height + 14:
                self.book.next_frame()
            elif number:
                self.book.space(14)
            self._draw(band, rows, number, self.book.frame.left)

    def _strips(self) -> int:
        """Return how many times a narrow table goes side by side; its rows then run down and on."""
        if len(self.bands) > 1:
            return 1
        natural = sum(self.bands[0].widths)
        if len(self.cells) < _FEWEST_TO_FOLD:
            return 1
        return max(1, int((self.book.frame.width + _BETWEEN) / (natural + _BETWEEN)))

    def _set_strips(self, rows: list[_Row], start: int, across: int) -> int:
        """Set rows in strips of even depth; return the end of the rows set."""
        depth = self._depth
        total = sum(row.height for row in rows[start:])
        wanted = total / across
        while wanted < depth and self._after_strips(rows, start, across, wanted)[-1] < len(rows):
            wanted += self.leading
        ends = self._after_strips(rows, start, across, min(wanted, depth))
        top = lowest = self.book.y
        width = sum(self.bands[0].widths)
        for number, end in enumerate(ends):
            if end > start:
                self.book.y = top
                self._draw(
                    self.bands[0], rows[start:end], 0, self.book.frame.left + number * (width + _BETWEEN)
                )
                lowest = min(lowest, self.book.y)
            start = end
        self.book.y = lowest
        return start

    def _after_strips(self, rows: list[_Row], start: int, across: int, depth: float) -> list[int]:
        ends = []
        for _ in range(across):
            start = max(self._fitting(rows, start, depth), min(start + 1, len(rows)))
            ends.append(start)
        return ends

    def _draw(self, band: _Band, rows: list[_Row], number: int, left: float) -> None:
        """Draw the rules first and the words over them, each in one run."""
        book = self.book
        edges = [left]
        for width in band.widths:
            edges.append(edges[-1] + width)
        self._draw_rules(band, rows, edges)
        self._draw_heads(band, edges, number)
        ink = book.ink
        size, leading = self.table.size, self.leading
        places = [(column, edges[k], edges[k + 1]) for k, column in enumerate(band.columns)]
        y = book.y - self.head_height
        spots: list[Spot] = []
        for row in rows:
            if row.about is not None:
                spots.append(Spot(row.about, y, y - row.height))
            if row.group:
                ink.text(left + _PAD_X, y - row.height + _PAD_Y + 2, row.group, BOLD, size)
                y -= row.height
                continue
            first = y - _PAD_Y - size * 0.86
            for column, start, end in places:
                align = self.table.columns[column].align
                font = row.fonts[column]
                baseline = first
                for line in row.lines[column]:
                    if not line:
                        pass
                    elif align == "left":
                        ink.text(start + _PAD_X, baseline, line, font, size)
                    elif align == "right":
                        ink.text_right(end - _PAD_X, baseline, line, font, size)
                    else:
                        ink.text_centred((start + end) / 2, baseline, line, font, size)
                    baseline -= leading
            y -= row.height
        if spots:
            fields = [
                (name, start, end)
                for column, start, end in places
                if (name := self.table.columns[column].field)
            ]
            mark_rows(book, spots, left, edges[-1], fields)
        book.y = y

    def _draw_rules(self, band: _Band, rows: list[_Row], edges: list[float]) -> None:
        ink, left, right = self.book.ink, edges[0], edges[-1]
        y = self.book.y
        ink.line(left, y, right, y, THIN)
        y -= self.head_height
        ink.line(left, y, right, y, THIN)
        after_group = True
        for i, row in enumerate(rows):
            if row.group:
                if i:
                    ink.line(left, y, right, y, THIN)
            elif not after_group:
                ink.faint_line(left, y, right)
            for k, column in enumerate(band.columns if not row.group else ()):
                lines = row.lines[column]
                if lines and lines[0][:1] == BAR:
                    height = self.leading + 2 * _PAD_Y - 1.2
                    ink.hatch(edges[k] + 0.6, y - height - 0.6, band.widths[k] - 1.2, height)
            after_group = bool(row.group)
            y -= row.height
        ink.line(left, y, right, y, HAIRLINE)

    def _draw_heads(self, band: _Band, edges: list[float], number: int) -> None:
        ink = self.book.ink
        bottom = self.book.y - self.head_height
        for k, column in enumerate(band.columns):
            head = self.heads[column]
            align = self.table.columns[column].align
            baseline = bottom + _PAD_Y + 1.6 + (len(head) - 1) * HEAD_LEADING
            for line in head:
                if align == "left":
                    ink.text(edges[k] + _PAD_X, baseline, line, BOLD, HEAD_SIZE)
                elif align == "right":
                    ink.text_right(edges[k + 1] - _PAD_X, baseline, line, BOLD, HEAD_SIZE)
                else:
                    ink.text_centred((edges[k] + edges[k + 1]) / 2, baseline, line, BOLD, HEAD_SIZE)
                baseline -= HEAD_LEADING
        if len(self.bands) > 1:
            part = f"columns, part {number + 1} of {len(self.bands)}"
            ink.text_right(self.book.frame.right, self.book.y + 2, part, TEXT, 5.5)


def _shared(natural: list[float], least: list[float], available: float) -> list[float]:
    """Share out the width: everyone its natural width if that fits, else the widest give way first."""
    total = sum(natural)
    if total * 2 + _BETWEEN <= available:
        return natural
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
