"""The checklists of the factory and the site test, with room to write what came."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from specapp.bench.checklists import ChecklistItem, Stage, checklist
from specapp.documents.book import Book
from specapp.documents.front import draw_cover, sheet_notes, title_block
from specapp.documents.marks import BAR
from specapp.documents.options import Options
from specapp.documents.row_marks import About
from specapp.documents.tables import Column, Table, set_table
from specapp.documents.wording import NONE, prose, quantity
from specapp.domain.proposal import Proposal

TITLES: Final = {"factory": "Checklist of the factory test", "site": "Checklist of the site test"}

_CAUTION: Final = (
    "Work on running machines and in hazardous areas needs a permit. Tests are done by competent persons "
    "under the procedures of the site; the machine maker's instructions govern."
)
PARTS: Final = {
    "channels": "Channels: indication, setpoints, delays, circuit faults",
    "votes": "Votes, bypass, latch",
    "starting": "Setpoint multiplier while starting",
    "relays": "Relays",
    "supplies": "Loss of supply",
    "interfaces": "Interfaces",
    "probes": "Probes: curve, gap, runout, polarity",
    "elements": "Resistance elements",
    "loops": "Current loops",
    "wiring": "Wiring and marking",
    "final elements": "Trip to the final element",
}


@dataclass(frozen=True, slots=True)
class Filled:
    """What came of an item, in its unit: result in words, numbers, remark, by whom and when."""

    result: str
    as_found: float | None = None
    as_left: float | None = None
    remark: str = ""
    by: str = ""
    is_correction: bool = False


@dataclass(frozen=True, slots=True)
class Signed:
    """A signature over a checklist; `later` counts the entries written after it."""

    part: str
    person: str
    when: str
    checksum: str
    later: int = 0


def render_filled(
    proposal: Proposal,
    options: Options,
    stage: Stage,
    basis: str,
    items: Sequence[ChecklistItem],
    filled: Mapping[str, Filled],
    signed: Sequence[Signed],
) -> bytes:
    """Return a checklist with what came of each item, by key, and the signatures, as PDF.

    ``basis`` says in words what the list is of and what it was made from.
    """
    title = f"{TITLES[stage]}, as filled"
    block = title_block(proposal, options, title)
    book = Book(
        options, block, (_CAUTION, *sheet_notes(proposal)[:1]), subject="Tests and results", cover=False
    )
    book.section("Results and signatures", landscape=True)
    fails = sum(each.result == "fail" for each in filled.values())
    book.paragraph(
        f"{prose(basis[:1].upper() + basis[1:])}. {len(filled)} of {len(items)} items have an entry, "
        f"{fails} of them fail. As left stands over as found."
    )
    if signed:
        set_table(book, Table(_SIGNED, [_signed_row(each) for each in signed]))
    else:
        book.paragraph("Nobody has signed.")
    _set_parts(book, items, _FILLED, lambda number, item: _filled_row(number, item, filled.get(item.key)))
    return book.finish()


def _set_parts(
    book: Book,
    items: Sequence[ChecklistItem],
    columns: tuple[Column, ...],
    row: Callable[[int, ChecklistItem], tuple[str, ...]],
) -> None:
    """Set a table a part; items are numbered through, whatever part they are of."""
    numbers = {item.key: number for number, item in enumerate(items, start=1)}
    for part in dict.fromkeys(item.part for item in items):
        book.section(PARTS.get(part, part), landscape=True, with_next=110)
        own = [item for item in items if item.part == part]
        rows = [row(numbers[item.key], item) for item in own]
        set_table(book, Table(columns, rows, about=_about(own)))


_SIGNED: Final = (
    Column("Signed as", bold=True),
    Column("By", widest=130),
    Column("When"),
    Column("Entries since"),
    Column("Checksum of what was signed", widest=190),
)
_FILLED: Final = (
    Column("No.", "right"),
    Column("Subject", bold=True),
    Column("Tag", widest=70),
    Column("What is done", widest=150),
    Column("What must come", widest=140),
    Column("From", "right"),
    Column("To", "right"),
    Column("As found", "right"),
    Column("As left", "right"),
    Column("Result"),
    Column("Remark", widest=110),
    Column("By, date", widest=80),
)


def _signed_row(signed: Signed) -> tuple[str, ...]:
    later = f"{signed.later} after it" if signed.later else "none"
    return (signed.part, prose(signed.person), signed.when, later, signed.checksum)


def _filled_row(number: int, item: ChecklistItem, filled: Filled | None) -> tuple[str, ...]:
    found = filled or Filled("open")
    result = f"{BAR} fail" if found.result == "fail" else found.result
    if found.is_correction:
        result += ", corrected after signing"
    return (
        *_row(number, item)[:7],
        _bound(found.as_found, item.unit),
        _bound(found.as_left, item.unit),
        result,
        prose(found.remark) or NONE,
        prose(found.by) or NONE,
    )


def render_factory(proposal: Proposal, options: Options) -> bytes:
    """Return the checklist of the factory test as PDF."""
    return _render(proposal, options, "factory")


def render_site(proposal: Proposal, options: Options) -> bytes:
    """Return the checklist of the site test as PDF."""
    return _render(proposal, options, "site")


def _render(proposal: Proposal, options: Options, stage: Stage) -> bytes:
    block = title_block(proposal, options, TITLES[stage])
    notes = (_CAUTION, *sheet_notes(proposal)[:1])
    book = Book(options, block, notes, subject="Tests to be done and witnessed, item by item", cover=True)
    items = checklist(proposal, stage)
    _set_parts(book, items, _COLUMNS, _row)
    if not items:
        book.section("Tests", landscape=False)
        book.paragraph("This machine has nothing to test.")
    return book.finish(lambda cover: draw_cover(cover, proposal, block))


_ROOM: Final = "............................"
_COLUMNS: Final = (
    Column("No.", "right"),
    Column("Subject", bold=True),
    Column("Tag", widest=80),
    Column("What is done", widest=190),
    Column("What must come", widest=180),
    Column("From", "right"),
    Column("To", "right"),
    Column("What came"),
    Column("Pass, by, date"),
)


def _about(items: Sequence[ChecklistItem]) -> list[About]:
    """Return what each row is about, so that a remark in a returned copy lands on the item it tests."""
    return [About(_commented(item)) for item in items]


def _commented(item: ChecklistItem) -> str:
    """Return under what comments name an item's subject; an interface is that of its rack or relay."""
    return item.subject.partition("/")[0] if item.part == "interfaces" else item.subject


def _row(number: int, item: ChecklistItem) -> tuple[str, ...]:
    return (
        str(number),
        item.subject,
        ", ".join(item.tags[:2]) + (f" and {len(item.tags) - 2} more" if len(item.tags) > 2 else "") or NONE,
        prose(item.method),
        prose(item.expected),
        _bound(item.low, item.unit),
        _bound(item.high, item.unit),
        _ROOM[:18],
        _ROOM,
    )


def _bound(value: float | None, unit: str) -> str:
    return NONE if value is None else quantity(value, unit, None)
