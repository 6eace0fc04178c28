"""The register of rules: what each is called, in which phase it runs, and its function."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from specapp.rulebook.context import Context

# Part of every proposal: a stored proposal says which rulebook wrote it.
RULEBOOK_VERSION = "1.2.0"


class Phase(IntEnum):
    """The fixed order. A later phase reads what earlier ones left in the context; no rule calls a rule."""

    SCOPE = 1
    FACTS = 2
    POINTS = 3
    TRANSDUCERS = 4
    FREQUENCIES = 5
    SETPOINTS = 6
    CHECKS = 7
    AREA = 8
    ARCHITECTURE = 9
    TAGS = 10
    CAUSE_AND_EFFECT = 11
    BILL = 12
    SAFETY = 13
    RECONCILIATION = 14


RuleFunction = Callable[["Context"], Iterable[Any]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One piece of judgement.

    ``because`` is the first paragraph of the function's docstring: one sentence on why an engineer
    does this. ``source`` names what the judgement itself rests on ("" is common practice); the
    criteria it reads bring sources of their own. ``supersedes`` names the rules whose values for the
    same item give way to this one without being a conflict.
    """

    id: str
    title: str
    phase: Phase
    because: str
    source: str
    edition: str
    status: str
    supersedes: frozenset[str]
    function: RuleFunction


class DuplicateRule(RuntimeError):
    """Two rules were registered under one id."""


RULES: dict[str, Rule] = {}


def rule(
    *,
    id: str,
    title: str,
    phase: Phase,
    source: str = "",
    edition: str = "",
    status: str = "common practice",
    supersedes: Iterable[str] = (),
) -> Callable[[RuleFunction], RuleFunction]:
    """Register a rule function. Ids have the form GROUP-TOPIC-nnn and are never used again."""

    def register(function: RuleFunction) -> RuleFunction:
        if id in RULES:
            raise DuplicateRule(f"rule id {id} is registered twice")
        because = " ".join((function.__doc__ or "").strip().split("\n\n")[0].split())
        RULES[id] = Rule(id, title, phase, because, source, edition, status, frozenset(supersedes), function)
        return function

    return register
