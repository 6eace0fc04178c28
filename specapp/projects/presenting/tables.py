"""Tables of a page as data, written as HTML in one place.

A schedule has thousands of cells; one function that joins strings writes them ten times faster than a
template, and escapes every text that is not already markup.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from django.utils.safestring import SafeString

from specapp.core.markup import as_markup, escape, plain_text
from specapp.documents import cells as file_cells
from specapp.documents.schedules import Schedule
from specapp.documents.wording import NONE
from specapp.domain.display import unit_symbols

Cell = str  # a SafeString is markup, any other text is escaped
ACTION = "action"  # the style of a column of buttons and links, which no file has
_NUMBER = re.compile(r"[-−]?\d+(?:\.\d+)?")


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading and the style class of its cells (number, nowrap, ...).

    `filed` are the headings in a file where its cells stand there as several (`filed`).
    """

    title: str
    style: str = ""
    filed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row; the first cell is its heading. `style` marks a row that needs the reader.

    A cell that is None is taken by the cell before it.
    """

    cells: Sequence[Cell | None]
    style: str = ""


@dataclass(frozen=True, slots=True)
class GroupRow:
    """A heading inside a table."""

    title: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """A table with a name for those who hear it; `is_narrow` keeps it as wide as its contents."""

    label: str
    columns: Sequence[Column]
    rows: Sequence[Row | GroupRow]
    is_narrow: bool = True
    caption: str = ""

    def html(self) -> SafeString:
        head = "".join(
            f'<th scope="col" class="{column.style}">{_head(column)}</th>'
            if column.style
            else f'<th scope="col">{_head(column)}</th>'
            for column in self.columns
        )
        opening = [f' class="{column.style}">' if column.style else ">" for column in self.columns]
        width = len(self.columns)
        body = unit_symbols("".join(_row(row, opening, width) for row in self.rows))
        caption = f"<caption>{escape(self.caption)}</caption>" if self.caption else ""
        style = ' class="compact"' if self.is_narrow else ""
        return SafeString(
            f'<div class="scroll wide" tabindex="0" role="region" aria-label="{escape(self.label)}">'
            f"<table{style}>{caption}<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
        )

    def schedule(self) -> Schedule:
        """Return the same rows for a file: text without markup, bare numbers as numbers.

        Headings inside the table become a first column of their own, columns of buttons are left out.
        """
        kept = [(index, column) for index, column in enumerate(self.columns) if column.style != ACTION]
        has_groups = any(isinstance(row, GroupRow) for row in self.rows)
        rows: list[tuple[file_cells.Cell, ...]] = []
        group = ""
        for row in self.rows:
            if isinstance(row, GroupRow):
                group = ", ".join(part for part in (row.title, row.note) if part)
                continue
            cells = [part for index, column in kept for part in _file_cells(row.cells[index], column)]
            rows.append((group, *cells) if has_groups else tuple(cells))
        headings = [title for _, column in kept for title in column.filed or (column.title,)]
        return Schedule(self.label, tuple(["Group", *headings] if has_groups else headings), rows)


def _head(column: Column) -> str:
    title = escape(column.title)
    return f'<span class="visually-hidden">{title}</span>' if column.style == ACTION else title


class _Filed(SafeString):
    """A cell of a page that knows what stands for it in a file."""

    parts: tuple[file_cells.Cell, ...]


def filed(shown: Cell, *parts: file_cells.Cell) -> SafeString:
    """Return a cell that stands in a file as these values, one for each heading of its column there."""
    cell = _Filed(as_markup(shown))
    cell.parts = parts
    return cell


def _file_cells(cell: Cell | None, column: Column) -> tuple[file_cells.Cell, ...]:
    if isinstance(cell, _Filed):
        return cell.parts
    missing = len(column.filed or (column.title,)) - 1
    return (None if cell is None else _file_cell(cell), *(None for _ in range(missing)))


def _file_cell(cell: Cell) -> file_cells.Cell:
    text = unit_symbols(plain_text(cell))
    if text == NONE:
        return None
    if _NUMBER.fullmatch(text):
        number = text.replace("−", "-")
        return float(number) if "." in number else int(number)
    return text


def _row(row: Row | GroupRow, opening: list[str], width: int) -> str:
    if isinstance(row, GroupRow):
        note = f" <small>{escape(row.note)}</small>" if row.note else ""
        return f'<tr class="group"><th colspan="{width}">{escape(row.title)}{note}</th></tr>'
    start = f'<tr class="{row.style}">' if row.style else "<tr>"
    if None in row.cells:
        return f"{start}{_spanning(row.cells, opening)}</tr>\n"
    cells = [as_markup(text) for text in row.cells]
    rest = "".join(f"<td{opening[i]}{cells[i]}</td>" for i in range(1, len(cells)))
    return f'{start}<th scope="row"{opening[0]}{cells[0]}</th>{rest}</tr>\n'


def _spanning(cells: Sequence[Cell | None], opening: list[str]) -> str:
    written = [f'<th scope="row"{opening[0]}{as_markup(cells[0] or "")}</th>']
    index = 1
    while index < len(cells):
        span = 1
        while index + span < len(cells) and cells[index + span] is None:
            span += 1
        head = f' colspan="{span}">' if span > 1 else opening[index]
        written.append(f"<td{head}{as_markup(cells[index] or '')}</td>")
        index += span
    return "".join(written)


@dataclass(frozen=True, slots=True)
class Folded:
    """Blocks behind a heading that opens them."""

    title: str
    count: int
    blocks: Sequence["Block"]
    is_open: bool = False

    def html(self) -> SafeString:
        inner = "".join(block.html() for block in self.blocks)
        opened = " open" if self.is_open else ""
        return SafeString(
            f'<details class="group"{opened}><summary><span>{escape(self.title)}</span>'
            f' <small>{self.count}</small></summary><div class="body">{inner}</div></details>'
        )


@dataclass(frozen=True, slots=True)
class Lines:
    """Sentences: one as a paragraph, several as a list."""

    lines: Sequence[Cell]
    is_numbered: bool = False
    style: str = ""

    def html(self) -> SafeString:
        shown = [as_markup(line) for line in self.lines]
        style = f' class="{self.style}"' if self.style else ""
        if len(shown) == 1 and not self.is_numbered:
            return SafeString(f"<p{style}>{shown[0]}</p>")
        tag = "ol" if self.is_numbered else "ul"
        return SafeString(f"<{tag}{style}>{''.join(f'<li>{line}</li>' for line in shown)}</{tag}>")


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing, opened full size by a click; `text` says what it shows and where words say the same."""

    label: str
    url: str
    text: str

    def html(self) -> SafeString:
        return SafeString(
            f'<div class="scroll drawing" tabindex="0" role="region" aria-label="{escape(self.label)}">'
            f'<a href="{self.url}"><img src="{self.url}" alt="{escape(self.text)}" loading="lazy"></a></div>'
        )


Block = Table | Folded | Lines | Figure


def schedules_in(key: str, blocks: Iterable[Block]) -> dict[str, Schedule]:
    """Return what tables of a part of a page go out as files, each under a key that begins with the part's.

    Tables with the same headings are one list, whose first column says which table a row stands in.
    """
    alike: dict[tuple[str, ...], list[Schedule]] = {}
    for table in _tables_in(blocks):
        if table.rows:
            schedule = table.schedule()
            alike.setdefault(schedule.headings, []).append(schedule)
    return {
        f"{key}_{number}" if number > 1 else key: _one_list(found)
        for number, found in enumerate(alike.values(), 1)
    }


def _tables_in(blocks: Iterable[Block]) -> Iterator[Table]:
    for block in blocks:
        if isinstance(block, Table):
            yield block
        elif isinstance(block, Folded):
            yield from _tables_in(block.blocks)


def _one_list(found: Sequence[Schedule]) -> Schedule:
    if len(found) == 1:
        return found[0]
    rows = [(each.name, *row) for each in found for row in each.rows]
    return Schedule(found[0].name, ("Table", *found[0].headings), rows)


def joined(parts: Iterable[Cell], separator: str = "<br>") -> SafeString:
    """Return parts one under another in a cell, each escaped unless it is markup."""
    return SafeString(separator.join(as_markup(part) for part in parts if part))


def small(text: Cell) -> SafeString:
    return SafeString(f"<small>{as_markup(text)}</small>" if text else "")
