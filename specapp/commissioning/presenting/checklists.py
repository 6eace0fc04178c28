"""A checklist as its pages and its sheets show it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from specapp.bench.checklists import ChecklistItem
from specapp.commissioning.models import Checklist, ChecklistEntry, Result
from specapp.commissioning.services.checklists import items_of, standing_entries
from specapp.documents.commissioning_checklist import PARTS
from specapp.domain.display import unit_symbols, with_unit


@dataclass(frozen=True, slots=True)
class Line:
    """An item with its number in the list and the entry that stands."""

    number: int
    item: ChecklistItem
    entry: ChecklistEntry | None

    @property
    def name(self) -> str:
        """Return what of its subject an item tests, such as "gap voltage"."""
        return self.item.key.removeprefix(f"{self.item.stage}/{self.item.subject}/")

    @property
    def method(self) -> str:
        return unit_symbols(self.item.method)

    @property
    def expected(self) -> str:
        return unit_symbols(self.item.expected)

    @property
    def limits(self) -> str:
        return limits_text(self.item)

    @property
    def state(self) -> str:
        return self.entry.get_result_display() if self.entry else "open"

    @property
    def is_fail(self) -> bool:
        return self.entry is not None and self.entry.result == Result.FAIL

    @property
    def values(self) -> str:
        return values_text(self.item, self.entry)


@dataclass(frozen=True, slots=True)
class PartOfList:
    """The items of one kind of work."""

    title: str
    lines: Sequence[Line]

    @property
    def done(self) -> int:
        return sum(line.entry is not None for line in self.lines)

    @property
    def fails(self) -> int:
        return sum(line.is_fail for line in self.lines)


def limits_text(item: ChecklistItem) -> str:
    """Return the limits of an item's number, empty where a word is written."""
    if item.low is not None and item.high is not None:
        return f"{with_unit(item.low, item.unit)} to {with_unit(item.high, item.unit)}"
    if item.low is not None:
        return f"at least {with_unit(item.low, item.unit)}"
    return "" if item.high is None else f"at most {with_unit(item.high, item.unit)}"


def values_text(item: ChecklistItem, entry: ChecklistEntry | None) -> str:
    if entry is None:
        return ""
    found = "" if entry.as_found is None else f"found {with_unit(entry.as_found, item.unit)}"
    left = "" if entry.as_left is None else f"left {with_unit(entry.as_left, item.unit)}"
    return ", ".join(text for text in (found, left) if text)


def lines_of(row: Checklist) -> list[Line]:
    done = standing_entries(row)
    return [Line(number, item, done.get(item.key)) for number, item in enumerate(items_of(row), start=1)]


def parts_of(lines: Sequence[Line]) -> Iterator[PartOfList]:
    for part in dict.fromkeys(line.item.part for line in lines):
        own = [line for line in lines if line.item.part == part]
        yield PartOfList(PARTS.get(part, part), own)


def next_open(lines: Sequence[Line], after: int) -> Line | None:
    """Return the next item without an entry after a number, from the beginning where none is left."""
    still = [line for line in lines if line.entry is None]
    return next((line for line in still if line.number > after), still[0] if still else None)
