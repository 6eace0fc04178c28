"""A PDF of drawing sheets: sections flow over sheets, the cover is set last.

The sheets are kept as operators until the end, so that "sheet n of m" and the contents know every
number without setting anything twice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from io import BytesIO
from threading import Lock
from typing import Final

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas

from specapp.documents import sheet_code
from specapp.documents.fonts import BOLD, TEXT, Lettering
from specapp.documents.ink import HAIRLINE, Ink
from specapp.documents.options import Options
from specapp.documents.place_index import SheetPlaces
from specapp.documents.place_writing import keep_places
from specapp.documents.sheet import Frame, Sheet, TitleBlock, draw_sheet, draw_sheet_number
from specapp.documents.wrapping import fitted, wrapped

# Binary streams: base 85 adds a quarter to a file and a tenth to the time of writing it.
rl_config.useA85 = 0

BODY_SIZE: Final = 8.0
BODY_LEADING: Final = 11.0
_SECTION_SIZE: Final = 12.0
_HEADING_SIZE: Final = 9.0
_CONTINUED: Final = 18.0  # height of a section's name on the sheets it goes on over

# Subsetting a face moves a read position inside the shared face, so two threads must not write at once.
WRITING = Lock()


@dataclass(slots=True)
class Section:
    """A section as the contents and the outline name it; `sheet` counts from 0."""

    title: str
    sheet: int
    top: float


@dataclass(slots=True)
class _Page:
    sheet: Sheet
    ink: Ink
    places: SheetPlaces = field(default_factory=SheetPlaces)


@dataclass(slots=True)
class Link:
    """A rectangle on the cover that leads to a section."""

    frame: Frame
    section: int


@dataclass(slots=True)
class Cover:
    """What a cover is given when everything else is known; it adds the links it has drawn."""

    ink: Ink
    sheet: Sheet
    sections: list[Section]
    total: int
    standing: str
    links: list[Link] = field(default_factory=list)


class Book:
    """Sheets being filled from the top; `y` is the height reached in the current frame."""

    def __init__(
        self, options: Options, block: TitleBlock, notes: tuple[str, ...], *, subject: str, cover: bool
    ) -> None:
        self.options = options
        self._block = block
        self._notes = (*sheet_code.notes(options.code), *_changes_note(options), *notes)
        self._out = BytesIO()
        self._canvas = Canvas(self._out, invariant=1, pageCompression=1, lang="en-GB")
        self._canvas.setTitle(f"{block.title}, {block.machine}")
        self._canvas.setSubject(subject)
        self._canvas.setAuthor(block.project or "specapp")
        self._canvas.setCreator("specapp")
        if options.code:
            self._canvas.setKeywords(sheet_code.keyword(options.code))
        # The document behind the canvas keys the subsets of the faces; the canvas has no public name for it.
        self.lettering = Lettering(self._canvas._doc)
        self.sections: list[Section] = []
        self._pages: list[_Page] = []
        self._frames: tuple[Frame, ...] = ()
        self._frame = 0
        self._running_text = False
        self.y = 0.0
        if cover:
            self._pages.append(_Page(Sheet.of(options.page_size, landscape=False), Ink(self.lettering)))

    # Sheets and frames

    @property
    def ink(self) -> Ink:
        return self._pages[-1].ink

    @property
    def places(self) -> SheetPlaces:
        """What stands where on the current sheet; kept in the file where it is an issued one."""
        return self._pages[-1].places

    @property
    def frame(self) -> Frame:
        return self._frames[self._frame]

    @property
    def room(self) -> float:
        """Height left in the current frame [pt]."""
        return self.y - self.frame.bottom

    def _new_sheet(self, sheet: Sheet) -> None:
        self._pages.append(_Page(sheet, Ink(self.lettering)))
        self._frames = sheet.columns(running_text=self._running_text)
        self._frame = 0
        self.y = self.frame.top

    def next_frame(self) -> None:
        """Go on in the next column, or on a new sheet of the same kind under the section's name."""
        if self._frame + 1 < len(self._frames):
            self._frame += 1
            self.y = self.frame.top
            return
        self._continue(self._pages[-1].sheet)

    def turn(self, *, landscape: bool) -> None:
        """Go on in a section on sheets of the other orientation, if the current one is not it."""
        sheet = Sheet.of(self.options.page_size, landscape=landscape)
        if sheet != self._pages[-1].sheet:
            self._continue(sheet)

    def _continue(self, sheet: Sheet) -> None:
        self._new_sheet(sheet)
        if self.sections:
            self._one_line(f"{self.sections[-1].title}, continued", 8, 8.0)
            top = sheet.body.top - _CONTINUED
            self._frames = tuple(Frame(f.left, f.bottom, f.right, top) for f in self._frames)
            self.y = top

    def need(self, height: float) -> None:
        """Go to the next frame unless so much height is left, or the frame is still empty."""
        if self.room < height and self.y < self.frame.top:
            self.next_frame()

    def space(self, height: float) -> None:
        self.y -= min(height, max(self.room, 0.0))

    # Sections and text

    def section(
        self,
        title: str,
        *,
        landscape: bool,
        new_sheet: bool = False,
        with_next: float = 100.0,
        numbered: bool = True,
    ) -> None:
        """Begin a section; it goes on on the current sheet where the sheet is of its kind and has room."""
        sheet = Sheet.of(self.options.page_size, landscape=landscape)
        running_text = not landscape
        same_kind = (
            bool(self._frames) and self._pages[-1].sheet == sheet and self._running_text == running_text
        )
        self._running_text = running_text
        if new_sheet or not same_kind:
            self._new_sheet(sheet)
        elif self.room < with_next + 40:
            if self._frame + 1 < len(self._frames):
                self.next_frame()
            else:
                self._new_sheet(sheet)
        else:
            self.space(20)
        number = f"{len(self.sections) + 1}  " if numbered else ""
        line = self.lettering.clean(number + title)
        self.sections.append(Section(line, len(self._pages) - 1, self.y))
        self._one_line(line, 11, _SECTION_SIZE)
        self.y -= 17
        self.ink.line(self.frame.left, self.y, self.frame.right, self.y, HAIRLINE)
        self.y -= 8

    def heading(self, title: str, with_next: float = 50.0) -> None:
        """Set a heading inside a section, kept with so much of what follows."""
        self.need(24 + with_next)
        if self.y < self.frame.top:
            self.space(8)
        self._one_line(self.lettering.clean(title), 9, _HEADING_SIZE)
        self.y -= 15

    def _one_line(self, line: str, down: float, size: float) -> None:
        """Set a title on one line, smaller or cut short where it is too long."""
        line, size = fitted(self.lettering, line, self.frame.width, BOLD, size, 5.5)
        self.ink.text(self.frame.left, self.y - down, line, BOLD, size)

    def paragraph(
        self, text: str, size: float = BODY_SIZE, font: str = TEXT, indent: float = 0.0, after: float = 4.0
    ) -> None:
        """Set a paragraph over frames as needed; a short one is not parted."""
        leading = size * BODY_LEADING / BODY_SIZE
        width = min(self.frame.width, 560.0) - indent
        lines = wrapped(self.lettering, self.lettering.clean(text), width, font, size)
        self.need(leading * min(len(lines), 4))
        for line in lines:
            if self.room < leading:
                self.next_frame()
            self.y -= leading
            self.ink.text(self.frame.left + indent, self.y + 2.5, line, font, size)
        self.space(after)

    # Writing

    def finish(self, cover: Callable[[Cover], None] | None = None) -> bytes:
        """Set the cover, write every sheet and return the PDF."""
        total = len(self._pages)
        # The ground of the sheets comes first: the cover names every character that could not be set.
        grounds = {sheet: self._ground(sheet) for sheet in dict.fromkeys(page.sheet for page in self._pages)}
        links: list[Link] = []
        if cover is not None:
            first = self._pages[0]
            given = Cover(first.ink, first.sheet, self.sections, total, self.options.standing)
            cover(given)
            links = given.links
        self._canvas.showOutline()
        with WRITING:
            for number, page in enumerate(self._pages):
                self._write(number, page, grounds[page.sheet], total, links if number == 0 else [])
            self._canvas.save()
        return self._out.getvalue()

    def _ground(self, sheet: Sheet) -> str:
        ink = Ink(self.lettering)
        draw_sheet(ink, sheet, self._block, self._notes, self.options.watermark)
        return ink.operators()

    def _write(self, number: int, page: _Page, ground: str, total: int, links: list[Link]) -> None:
        sheet = page.sheet
        foot = Ink(self.lettering)
        draw_sheet_number(foot, sheet, number + 1, total)
        canvas = self._canvas
        canvas.setPageSize((sheet.width, sheet.height))
        for operators in (ground, page.ink.operators(), foot.operators()):
            canvas.addLiteral(f"q\n{operators}\nQ")
        if number == 0 and total:
            canvas.bookmarkPage("cover")
            canvas.addOutlineEntry(self._block.title, "cover", 0)
        for i, section in enumerate(self.sections):
            if section.sheet == number:
                canvas.bookmarkPage(f"section-{i}", fit="XYZ", left=0, top=section.top + 8)
                canvas.addOutlineEntry(section.title, f"section-{i}", 0)
        for link in links:
            f = link.frame
            canvas.linkRect("", f"section-{link.section}", (f.left, f.bottom, f.right, f.top), thickness=0)
        canvas.showPage()
        if self.options.code:
            keep_places(canvas, number, page.places)


def _changes_note(options: Options) -> tuple[str, ...]:
    if options.changes is None or not options.changes.marks:
        return ()
    return (f"Bars in the margin and clouds on drawings: changed in revision {options.changes.label}.",)
