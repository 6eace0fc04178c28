"""Pocket cards: what stands at the terminals of each junction box, on one sheet that folds twice.

No drawing sheet: a frame would be cut by the folds. The sheet is read open, four panels upright; folded
back along both middles, the title panel is in front.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from io import BytesIO
from typing import Final

from reportlab.pdfgen.canvas import Canvas

from specapp.documents import sheet_code
from specapp.documents.book import WRITING
from specapp.documents.field_schedules import tag_of, trains
from specapp.documents.fonts import BOLD, TEXT, Lettering
from specapp.documents.front import CAUTION_LINE, title_block
from specapp.documents.ink import HAIRLINE, THIN, Ink
from specapp.documents.marks import BAR, HALF
from specapp.documents.options import Options
from specapp.documents.place_index import SheetPlaces
from specapp.documents.place_writing import keep_places
from specapp.documents.sheet import MM, Frame, Sheet, TitleBlock
from specapp.documents.wording import NONE, number, pair, prose, quantity, setting_units, true_minus, words
from specapp.documents.wrapping import fitted, wrapped
from specapp.domain.proposal import JunctionBox, Proposal
from specapp.rulebook.signal_levels import Level, PointSignals, point_signals

TITLE: Final = "Pocket cards"

_MARGIN: Final = 7 * MM
_LINE: Final = 9.6
_SIZE: Final = 7.4
_SMALL: Final = 6.2
_GAP: Final = 9.0
_FOLD: Final = 5 * MM
_DECIMALS: Final = {"V": 2, "V p-p": 3, "mA": 2, "ohm": 1}
_UNITS: Final = {"ohm": "Ω"}
_PULSES: Final = ("speed", "overspeed")


@dataclass(slots=True)
class _Page:
    """One side of a card, and what stands where on it."""

    name: str
    ink: Ink
    places: SheetPlaces = field(default_factory=SheetPlaces)


def render(proposal: Proposal, options: Options) -> bytes:
    """Return one card a box and train as PDF, the same bytes for the same proposal and options."""
    out = BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1, lang="en-GB")
    block = title_block(proposal, options, TITLE)
    canvas.setTitle(f"{TITLE}, {block.machine}")
    canvas.setSubject("Signals at the terminals of each junction box, for the pocket")
    canvas.setAuthor(block.project or "specapp")
    canvas.setCreator("specapp")
    if options.code:
        canvas.setKeywords(sheet_code.keyword(options.code))
    lettering = Lettering(canvas._doc)
    sheet = _sheet(options)
    signals = {each.point.key: each for each in point_signals(proposal)}
    cards = [
        (train, box, [signals[key] for key in box.points])
        for train in trains(proposal)
        for box in proposal.architecture.junction_boxes
    ]
    pages: list[_Page] = []
    for train, box, inside in cards:
        pages += _card(lettering, sheet, proposal, block, options, train, box, inside)
    if not pages:
        ink = Ink(lettering)
        ink.text(_MARGIN, sheet.height - 40, "No junction box is proposed.", TEXT, 9)
        pages.append(_Page(TITLE, ink))
    with WRITING:
        for index, page in enumerate(pages):
            canvas.setPageSize((sheet.width, sheet.height))
            canvas.addLiteral(f"q\n{page.ink.operators()}\nQ")
            canvas.bookmarkPage(f"card-{index}")
            canvas.addOutlineEntry(page.name, f"card-{index}", 0)
            canvas.showPage()
            if options.code:
                keep_places(canvas, index, page.places)
        canvas.save()
    return out.getvalue()


def _sheet(options: Options) -> Sheet:
    """Return A4 upright, or Letter where the project prints on North American paper."""
    american = options.page_size in ("Letter", "Tabloid")
    return Sheet.of("Letter" if american else "A4", landscape=False)


def _panels(sheet: Sheet) -> tuple[Frame, ...]:
    """Return the four panels: title in front, then along the rows."""
    half_width, half_height = sheet.width / 2, sheet.height / 2
    return tuple(
        Frame(
            column * half_width + _MARGIN,
            (1 - row) * half_height + _MARGIN,
            (column + 1) * half_width - _MARGIN,
            (2 - row) * half_height - _MARGIN,
        )
        for row in (0, 1)
        for column in (0, 1)
    )


def _card(
    lettering: Lettering,
    sheet: Sheet,
    proposal: Proposal,
    block: TitleBlock,
    options: Options,
    train: str | None,
    box: JunctionBox,
    inside: list[PointSignals],
) -> list[_Page]:
    """Return the sheets of one box: one, or more where its points take more than three panels."""
    pages: list[_Page] = []
    panels = _panels(sheet)
    waiting = list(inside)
    while waiting or not pages:
        page = _Page("", Ink(lettering))
        ink = page.ink
        _fold_marks(ink, sheet)
        name = f"{box.key}, {block.machine if train is None else _machine(proposal, train)}"
        part = "" if not pages else f", sheet {len(pages) + 1}"
        _title_panel(ink, panels[0], proposal, block, options, name + part, box, inside)
        page.places.add_row(panels[0], f"box/{box.key}")
        for panel in panels[1:]:
            y = panel.top
            while waiting and (y - _height(ink, panel, waiting[0]) >= panel.bottom or y == panel.top):
                signals, top = waiting.pop(0), y
                y = _point(ink, panel, y, signals, train, options)
                page.places.add_row(Frame(panel.left, y + _GAP, panel.right, top), signals.point.key)
        page.name = lettering.clean(name + part)
        pages.append(page)
    return pages


def _machine(proposal: Proposal, train: str) -> str:
    return f"{proposal.machine.get('tag', '')}{train}"


def _fold_marks(ink: Ink, sheet: Sheet) -> None:
    """Mark both folds at the edges and with a cross in the middle, and say which way they go."""
    across, down = sheet.width / 2, sheet.height / 2
    for x1, y1, x2, y2 in (
        (across, 0, across, _FOLD),
        (across, sheet.height - _FOLD, across, sheet.height),
        (0, down, _FOLD, down),
        (sheet.width - _FOLD, down, sheet.width, down),
        (across - _FOLD / 2, down, across + _FOLD / 2, down),
        (across, down - _FOLD / 2, across, down + _FOLD / 2),
    ):
        ink.line(x1, y1, x2, y2, HAIRLINE)
    ink.text(_FOLD + 3, down - 2, "fold back first", TEXT, 4.6)
    ink.text_turned(across - 2, _FOLD + 3, "fold back second", 90.0, TEXT, 4.6)


def _title_panel(
    ink: Ink,
    panel: Frame,
    proposal: Proposal,
    block: TitleBlock,
    options: Options,
    name: str,
    box: JunctionBox,
    inside: list[PointSignals],
) -> None:
    lettering = ink.lettering
    y = panel.top - 15
    line, size = fitted(lettering, lettering.clean(name), panel.width, BOLD, 15, 8)
    ink.text(panel.left, y, line, BOLD, size)
    y -= 13
    side = "" if box.side is None else f", side {box.side}"
    y = _paragraph(ink, panel, y, f"{words(box.casing)}{side}: {words(box.purpose)}", TEXT, 8.4)
    standing = " · ".join(
        part
        for part in (
            options.watermark,
            block.standing,
            f"revision {block.revision}" if block.revision else "",
            block.date,
            f"sheet code {sheet_code.shown(options.code)}" if options.code else "",
            f"setting units {setting_units(proposal)}",
        )
        if part
    )
    y = _paragraph(ink, panel, y - 1, standing, BOLD if options.watermark else TEXT, _SMALL)
    ink.line(panel.left, y + 3, panel.right, y + 3, HAIRLINE)
    y -= 6
    for label, text in _facts(proposal, box, inside):
        ink.text(panel.left, y, label, BOLD, _SIZE)
        y = _paragraph(ink, panel, y, text, TEXT, _SIZE, indent=62)
        y -= 2
    y = panel.bottom + 44
    ink.line(panel.left, y + 10, panel.right, y + 10, HAIRLINE)
    for text in (CAUTION_LINE.split(". ")[0] + ".", _WORK_CAUTION, f"{BAR} held   {HALF} placeholder"):
        y = _paragraph(ink, panel, y, text, TEXT, _SMALL)


_WORK_CAUTION: Final = "Work in hazardous areas and on running machines needs a permit."


def _facts(proposal: Proposal, box: JunctionBox, inside: list[PointSignals]) -> list[tuple[str, str]]:
    """Return what holds for the whole box: position and terminals, gap setting, fault bands, chains."""
    facts = [
        ("Positions", f"{len(box.points)} of {box.positions} used"),
        ("Terminals", f"{box.terminals} used, {box.spare_terminals} spare"),
    ]
    markings = dict.fromkeys(each.point.installation.required_marking for each in inside)
    marked = ", ".join(marking for marking in markings if marking)
    if marked:
        facts.append(("Marking", marked))
    reads = dict.fromkeys(
        str(cable.get("to")) for cable in proposal.architecture.cables if cable.get("from") == box.key
    )
    facts.append(("Wired to", ", ".join(reads) or NONE))
    probe = next((each for each in inside if each.gap_v is not None), None)
    if probe is not None:
        gap, high, low = (_volts(value) for value in (probe.gap_v, probe.gap_from_v, probe.gap_to_v))
        facts.append(("Gap at rest", f"{gap} V, set within {high} to {low} V; more negative as it opens"))
    scales = dict.fromkeys(each.point.transducer.scale for each in inside if each.point.transducer.scale)
    facts += _under_one_label("Scale", [scale for scale in scales if scale])
    facts += _under_one_label("Fault bands", dict.fromkeys(each.fault for each in inside))
    return facts


def _under_one_label(label: str, texts: Iterable[str]) -> list[tuple[str, str]]:
    return [("" if index else label, prose(text)) for index, text in enumerate(texts)]


def _volts(value: float | None) -> str:
    return NONE if value is None else number(value)


def _paragraph(
    ink: Ink, panel: Frame, y: float, text: str, font: str, size: float, indent: float = 0.0
) -> float:
    """Set a text from this height and return the height of the next line."""
    lettering = ink.lettering
    for line in wrapped(lettering, lettering.clean(text), panel.width - indent, font, size):
        ink.text(panel.left + indent, y, line, font, size)
        y -= size * 1.3
    return y


def _height(ink: Ink, panel: Frame, signals: PointSignals) -> float:
    return 23 + _LINE * sum(1 + _is_noted(level) for level in _rows(signals)) + _GAP


def _is_noted(level: Level) -> bool:
    return bool(level.note) and level.value is not None


def _rows(signals: PointSignals) -> tuple[Level, ...]:
    return signals.levels or (Level("reading", None, None, "", None, None, ""),)


def _point(
    ink: Ink, panel: Frame, y: float, signals: PointSignals, train: str | None, options: Options
) -> float:
    """Set one point and return the height reached."""
    lettering, point = ink.lettering, signals.point
    y -= 8
    line, size = fitted(lettering, lettering.clean(tag_of(point, train)), panel.width * 0.62, BOLD, 9, 6)
    ink.text(panel.left, y, line, BOLD, size)
    if signals.gap_v is not None:
        ink.text_right(panel.right, y, f"gap {number(signals.gap_v)} V", TEXT, _SIZE)
    y -= 8.6
    line, size = fitted(lettering, lettering.clean(point.title), panel.width, TEXT, _SMALL, 4.6)
    ink.text(panel.left, y, line, TEXT, size)
    y -= 3.4
    ink.line(panel.left, y, panel.right, y, THIN)
    for level in _rows(signals):
        y = _level_row(ink, panel, y, signals, level, options)
    return y - _GAP


def _level_row(
    ink: Ink, panel: Frame, y: float, signals: PointSignals, level: Level, options: Options
) -> float:
    y -= _LINE
    base = y + 2.4
    clean = ink.lettering.clean
    middle = panel.left + panel.width * 0.62
    ink.text(panel.left, base, level.name, TEXT, _SIZE)
    if level.value is None:
        note = level.note or _without_levels(signals)
        if level.note.startswith("held"):
            ink.hatch(panel.left + 44, y, panel.width - 44, _LINE - 1)
            note = f"{BAR} {note}"
        elif level.note:
            note = f"{HALF} {note}"
        ink.text_right(panel.right, base, clean(prose(note)), TEXT, _SIZE)
    else:
        ink.text_right(middle, base, clean(_setting(signals, level, options)), BOLD, _SIZE)
        ink.text_right(panel.right, base, clean(_signal(signals, level)), BOLD, _SIZE)
        if level.note:
            y -= _LINE
            shape = HALF if level.note.startswith("placeholder") else ""
            line = clean(f"{shape} {level.note}".strip())
            ink.text_right(panel.right, y + 2.4, line, TEXT, _SMALL)
    ink.faint_line(panel.left, y, panel.right)
    return y


def _without_levels(signals: PointSignals) -> str:
    quantity_name = signals.point.quantity
    if quantity_name == "phase_reference":
        return "a pulse a turn on the gap voltage"
    return "pulses" if quantity_name in _PULSES else "no level proposed"


def _without_volts(signals: PointSignals) -> str:
    return "pulses" if signals.point.quantity in _PULSES else "by frequency"


def _setting(signals: PointSignals, level: Level, options: Options) -> str:
    """Return a reading with its unit, both sides where they differ."""
    axial = signals.point.quantity == "axial_position"
    span = signals.point.range
    detection = "" if span is None or span.detection == "mean" else span.detection
    text = quantity(level.value, level.unit, options.display_units, detection=detection, axial=axial)
    if level.low is None:
        return text
    if level.value is not None and level.low == -level.value:
        return f"±{text}"
    return f"{number(level.low)} to {text}"


def _signal(signals: PointSignals, level: Level) -> str:
    if level.signal is None:
        return NONE if level.note else _without_volts(signals)
    decimals = _DECIMALS[level.signal_unit]
    unit = _UNITS.get(level.signal_unit, level.signal_unit)
    return f"{true_minus(pair(level.signal, level.signal_low, decimals))} {unit}"
