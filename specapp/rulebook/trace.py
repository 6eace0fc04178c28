"""Reasons as a by-product of running: whatever a rule reads through `Why` is what the reason shows."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import msgspec

from specapp.domain.proposal import Reason

if TYPE_CHECKING:
    from specapp.rulebook.context import Context
    from specapp.rulebook.registry import Rule

T = TypeVar("T")


class Why(msgspec.Struct, gc=False):
    """Recorder of one application of one rule to one subject.

    Read every fact by `fact` and every criterion by `criterion`, then close with `say`, which
    leaves one `Reason` in the context's trace and returns its index. A recorder may `say` only once;
    start another for the next subject.
    """

    _context: Context
    _rule: Rule
    _values: Mapping[str, float]
    _reads: dict[str, Any] = msgspec.field(default_factory=dict)
    _criteria: dict[str, None] = msgspec.field(default_factory=dict)

    def fact(self, path: str, value: T) -> T:
        """Record that the fact at `path` (as in machine/1, or `P1.speed` for a derived one) was read."""
        self._reads[path] = value
        return value

    def criterion(self, key: str) -> float:
        """Return the value in force of a criterion and record that it was read."""
        self._criteria[key] = None
        return self._values[key]

    def say(self, text: str) -> int:
        """Close the reason with one plain sentence; return its index in the trace."""
        context, rule = self._context, self._rule.id
        cited = (rule, tuple(self._criteria))
        source, edition, status, read = context.cited.get(cited) or context.cite(self._rule, cited)
        trace = context.trace
        trace.append(Reason(rule, text, source, edition, status, self._reads, read))
        return len(trace) - 1
