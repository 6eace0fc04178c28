"""Which of several differences decides: facts of one machine are put into the other until the answer turns.

Reasons name every fact that was read; several of them may differ while one alone leads to the other answer.
Each is tried alone, in the order in which the reasons read them; where none is enough, they are put in one
after another, and those that were not needed are taken out again.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from specapp.domain.overrides import Override
from specapp.domain.problems import InputErrors
from specapp.domain.proposal import Proposal
from specapp.rulebook.fact_names import pinion_names, value_at
from specapp.rulebook.proposing import propose_document

_PARTS = re.compile(r"[^.\[\]]+")
_PINION = re.compile(r"pinions\[(\d+)\]")
# Every trial is a whole proposal; a person waits for the sentence.
MOST_TRIALS = 60

Answer = Callable[[Proposal], str]


def decisive_facts(before: Proposal, after: Proposal, facts: Sequence[str], answer: Answer) -> list[str]:
    """Return the fewest of some differing facts that lead the first proposal to the answer of the second.

    ``facts`` are machine/1 paths of either proposal or "criterion <key>", the likeliest first; ``answer``
    is what is asked of a proposal. Empty where they do not lead there: something else decides, such as
    another rulebook or an override.
    """
    return _Substituting(before, after, answer).found(list(dict.fromkeys(facts)))


class _Substituting:
    def __init__(self, before: Proposal, after: Proposal, answer: Answer) -> None:
        self._before, self._after, self._answer = before, after, answer
        self._base = _document(before)
        self._overrides = tuple(
            Override(each.item, each.field, each.value, each.reason, each.author, each.at)
            for each in before.overrides
        )
        self._names = pinion_names(before.machine), pinion_names(after.machine)
        self._wanted = answer(after)
        self._trials = 0

    def found(self, facts: Sequence[str]) -> list[str]:
        for fact in facts:
            if self._leads((fact,)):
                return [fact]
        for count in range(2, len(facts) + 1):
            if self._leads(facts[:count]):
                return self._needed(list(facts[:count]))
        return []

    def _needed(self, facts: list[str]) -> list[str]:
        """Return the facts without those that change nothing; the last one turned it and stays."""
        for fact in facts[:-1]:
            fewer = [each for each in facts if each != fact]
            if self._leads(fewer):
                facts = fewer
        return facts

    def _leads(self, facts: Sequence[str]) -> bool:
        if self._trials >= MOST_TRIALS:
            return False
        self._trials += 1
        document = copy.deepcopy(self._base)
        for fact in facts:
            self._put(document, fact)
        try:
            return self._answer(propose_document(document, overrides=self._overrides)) == self._wanted
        except InputErrors:  # this fact cannot stand without others: with those it may
            return False

    def _put(self, document: dict[str, Any], fact: str) -> None:
        """Set one fact, or criterion, as the second proposal has it."""
        kind, _, key = fact.partition(" ")
        if kind == "criterion":
            value = next((row["value"] for row in self._after.criteria if row["key"] == key), None)
            if value is not None:
                document.setdefault("criteria", {})[key] = {"value": value, "reason": "as in the other"}
            return
        here, there = self._places(fact)
        if here is not None:
            _set(document, here, value_at(self._after.machine, there))

    def _places(self, path: str) -> tuple[str | None, str]:
        """Return where a fact stands in both; a pinion is known again by its name."""
        match = _PINION.match(path)
        if match is None:
            return path, path
        place, rest = int(match[1]), path[match.end() :]
        names = self._names[0] if place < len(self._names[0]) else self._names[1]
        name = names[place] if place < len(names) else ""
        if name not in self._names[0]:
            return None, path
        there = f"pinions[{self._names[1].index(name)}]" if name in self._names[1] else "pinions[]"
        return f"pinions[{self._names[0].index(name)}]{rest}", f"{there}{rest}"


def _document(proposal: Proposal) -> dict[str, Any]:
    """Return the description of a proposal, with every criterion that was not the default's as its own."""
    document = copy.deepcopy(dict(proposal.machine))
    own = {
        row["key"]: {"value": row["value"], "reason": str(row["override"]["reason"])}
        for row in proposal.criteria
        if row["override"]
    }
    if own:
        document["criteria"] = {**own, **document.get("criteria", {})}
    return document


def _set(document: dict[str, Any], path: str, value: Any) -> None:
    owner: Any = document
    *parents, last = _PARTS.findall(path)
    for part in parents:
        if isinstance(owner, list):
            owner = owner[int(part)]
            continue
        if not isinstance(owner.get(part), Mapping | list):
            owner[part] = {}
        owner = owner[part]
    if value is None:
        owner.pop(last, None)
    else:
        owner[last] = copy.deepcopy(value)
