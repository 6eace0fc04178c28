"""Two states beside each other: was, is, why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from specapp.core.markup import plain_text
from specapp.documents.change_words import SUBJECTS, ChangeLine, change_lines
from specapp.documents.schedules import Schedule
from specapp.documents.wording import prose
from specapp.domain.proposal import Proposal
from specapp.projects.presenting.tables import Cell, Column, Folded, Lines, Row, Table, joined, small
from specapp.rulebook.comparison import Comparison, compare

_MOST_ROWS = 80
_MOST_OPEN = 15
_STYLES = {"Item": "subjects", "Why": "says"}
_KINDS = {"input": "Input", "override": "Override", "criterion": "Criterion", "rulebook": "Rulebook"}


# What issued documents print for everybody; why it differs is the owner's to tell.
_FOR_OUTSIDE = (
    "setpoints",
    "points",
    "ranges",
    "transducers",
    "point_fields",
    "bill",
    "architecture",
    "cause_and_effect",
    "responsibility",
)


@dataclass(frozen=True, slots=True)
class StatesCompared:
    """What was changed (kind and sentence), what it led to by subject, and how many values differ.

    `is_values_only` where it is for people of other companies, who are told neither causes nor reasons.
    """

    causes: Sequence[tuple[str, str]]
    blocks: Sequence[Folded]
    count: int
    schedule: Schedule
    is_values_only: bool = False

    @property
    def is_same(self) -> bool:
        return not self.causes and not self.blocks


def states_compared(before: Proposal, after: Proposal) -> StatesCompared:
    found = compare(before, after)
    causes = [(_KINDS.get(cause.kind, cause.kind), prose(cause.text)) for cause in found.causes]
    return StatesCompared(causes, differences(found), len(found.changes), _whole(change_lines(found)))


def values_compared(before: Proposal, after: Proposal) -> StatesCompared:
    """Return which values of two issued states differ, for people of other companies."""
    lines = change_lines(compare(before, after))
    shown = {title: lines[title] for title in map(SUBJECTS.__getitem__, _FOR_OUTSIDE) if title in lines}
    blocks = [_block(title, rows, True, has_why=False) for title, rows in shown.items()]
    whole = _whole(shown, has_why=False)
    return StatesCompared((), blocks, sum(map(len, shown.values())), whole, is_values_only=True)


def _whole(lines: Mapping[str, Sequence[ChangeLine]], *, has_why: bool = True) -> Schedule:
    """Return every difference for a file, also those that the page counts only."""
    rows = [
        (
            title,
            ", ".join(line.items),
            line.field,
            plain_text(line.was),
            plain_text(line.now),
            *([", ".join(line.why)] if has_why else []),
        )
        for title, found in lines.items()
        for line in found
    ]
    headings = ("Subject", "Item", "Field", "Was", "Is", *(["Why"] if has_why else []))
    return Schedule("Differences", headings, rows, fixed=2)


def differences(found: Comparison, *, may_open: bool = True) -> list[Folded]:
    """Return what differs as tables, one a subject; those of few rows are open where they may be."""
    return [_block(title, lines, may_open) for title, lines in change_lines(found).items()]


def _block(title: str, lines: Sequence[ChangeLine], may_open: bool, *, has_why: bool = True) -> Folded:
    names = ("Item", "Was", "Is", "Why") if has_why else ("Item", "Was", "Is")
    columns = tuple(Column(name, _STYLES.get(name, "")) for name in names)
    rows = [Row(_cells(line)[: len(columns)]) for line in lines[:_MOST_ROWS]]
    left = len(lines) - len(rows)
    more = [Lines([f"{left} more of this kind."], style="soft")] if left > 0 else []
    table = Table(f"{title}: {', '.join(names[1:]).lower()}", columns, rows)
    return Folded(title, len(lines), [table, *more], is_open=may_open and len(rows) <= _MOST_OPEN)


def _cells(line: ChangeLine) -> tuple[Cell, ...]:
    return joined([*_first(line.items), small(line.field)]), line.was, line.now, joined(_first(line.why))


def _first(items: Sequence[str]) -> list[str]:
    return [*items[:6], f"and {len(items) - 6} more"] if len(items) > 6 else list(items)
