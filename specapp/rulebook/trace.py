"""Reasons as a by-product of running: whatever a rule reads through `Why` is what the reason shows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from specapp.domain.proposal import CriterionRead

if TYPE_CHECKING:
    from specapp.rulebook.context import Context
    from specapp.rulebook.registry import Rule

T = TypeVar("T")


class Why:
    """Recorder of one application of one rule to one subject.

    Read every fact by `fact` and every criterion by `criterion`, then close with `say`, which
    leaves one `Reason` in the context's trace and returns its index. A recorder may `say` only once;
    start another for the next subject.
    """

    __slots__ = ("_context", "_criteria", "_known", "_reads", "_rule")

    def __init__(self, context: Context, rule: Rule) -> None:
        self._context = context
        self._known = context.criteria
        self._rule = rule
        self._reads: dict[str, Any] = {}
        self._criteria: dict[str, CriterionRead] = {}

    def fact(self, path: str, value: T) -> T:
        """Record that the fact at `path` (as in machine/1, or `P1.speed` for a derived one) was read."""
        self._reads[path] = value
        return value

    def criterion(self, key: str) -> float:
        """Return the value in force of a criterion and record that it was read."""
        found = self._known.get(key)
        self._criteria[key] = found.read
        return found.value

    def say(self, text: str) -> int:
        """Close the reason with one plain sentence; return its index in the trace."""
        return self._context.leave_reason(self._rule, text, self._reads, self._criteria)
