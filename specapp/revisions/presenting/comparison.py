"""Two states beside each other: was, is, why."""

from collections.abc import Sequence
from dataclasses import dataclass

from specapp.documents.change_words import ChangeLine, change_lines
from specapp.documents.wording import prose
from specapp.domain.proposal import Proposal
from specapp.projects.presenting.tables import Column, Folded, Lines, Row, Table, joined, small
from specapp.rulebook.comparison import Comparison, compare

_MOST_ROWS = 80
_MOST_OPEN = 15
_KINDS = {"input": "Input", "override": "Override", "criterion": "Criterion", "rulebook": "Rulebook"}


@dataclass(frozen=True, slots=True)
class StatesCompared:
    """What was changed (kind and sentence), what it led to by subject, and how many values differ."""

    causes: Sequence[tuple[str, str]]
    blocks: Sequence[Folded]
    count: int

    @property
    def is_same(self) -> bool:
        return not self.causes and not self.blocks


def states_compared(before: Proposal, after: Proposal) -> StatesCompared:
    found = compare(before, after)
    causes = [(_KINDS.get(cause.kind, cause.kind), prose(cause.text)) for cause in found.causes]
    return StatesCompared(causes, differences(found), len(found.changes))


def differences(found: Comparison, *, may_open: bool = True) -> list[Folded]:
    """Return what differs as tables, one a subject; those of few rows are open where they may be."""
    return [_block(title, lines, may_open) for title, lines in change_lines(found).items()]


def _block(title: str, lines: Sequence[ChangeLine], may_open: bool) -> Folded:
    rows = [
        Row((joined([*_first(line.items), small(line.field)]), line.was, line.now, joined(_first(line.why))))
        for line in lines[:_MOST_ROWS]
    ]
    columns = (Column("Item", "subjects"), Column("Was"), Column("Is"), Column("Why", "says"))
    left = len(lines) - len(rows)
    more = [Lines([f"{left} more of this kind."], style="soft")] if left > 0 else []
    table = Table(f"{title}: was, is, why", columns, rows)
    return Folded(title, len(lines), [table, *more], is_open=may_open and len(rows) <= _MOST_OPEN)


def _first(items: Sequence[str]) -> list[str]:
    return [*items[:6], f"and {len(items) - 6} more"] if len(items) > 6 else list(items)
