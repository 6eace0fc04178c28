"""The next most useful facts: which missing input would settle most, and what it may change."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from specapp.domain.machine import MachineDescription
from specapp.domain.proposal import Proposal, Record
from specapp.rulebook.fact_names import fact_words, pinion_names
from specapp.rulebook.turned_words import item_words

_ROOTS = frozenset(MachineDescription.model_fields)
_NAMED_AT_MOST = 3
_ROOT = re.compile(r"[a-z_]+")


class UsefulFact(Record, frozen=True):
    """One missing input, and what waits for it.

    ``settles`` counts assumptions, checks not evaluated, open points and candidates of setpoints together;
    ``weight`` is how many recorded reasons rest on its assumed value. ``may_change`` says what another
    value than the assumed one, or a value at all, can change.
    """

    path: str
    fact: str
    settles: int
    weight: int
    assumption: str | None
    checks: tuple[str, ...]
    open_points: tuple[str, ...]
    candidates: tuple[str, ...]
    may_change: tuple[str, ...]
    text: str


def useful_facts(proposal: Proposal) -> tuple[UsefulFact, ...]:
    """Return every missing input that something waits for, the most useful first."""
    assumptions = {item.field: item for item in proposal.assumptions}
    checks: dict[str, list[str]] = {}
    for check in proposal.checks:
        if check.result == "not_evaluated" and check.needs is not None:
            checks.setdefault(check.needs, []).append(f"{check.check} of {check.subject}")
    open_points: dict[str, list[str]] = {}
    for item in proposal.open_points:
        open_points.setdefault(item.needs, []).append(item.key)
    candidates: dict[str, list[tuple[str, str]]] = {}
    for path, place in _missing_candidates(proposal):
        candidates.setdefault(path, []).append(place)
    names = pinion_names(proposal.machine)
    facts = []
    for path in dict.fromkeys([*assumptions, *checks, *open_points, *candidates]):
        if not _is_input(path):
            continue
        assumption = assumptions.get(path)
        held, asked = checks.get(path, []), open_points.get(path, [])
        lacking = candidates.get(path, [])
        settles = len(held) + len(asked) + len(lacking) + (assumption is not None)
        changes = tuple(dict.fromkeys([*(assumption.changes if assumption else ()), *_changes(lacking)]))
        fact = fact_words(path, names)
        counts = [len(held), len(asked), len(lacking)]
        facts.append(
            UsefulFact(
                path,
                fact,
                settles,
                0 if assumption is None else assumption.weight,
                None if assumption is None else assumption.because,
                tuple(held),
                tuple(asked),
                tuple(" by ".join(each) for each in lacking),
                changes,
                _sentence(fact, assumption is not None, counts, changes),
            )
        )
    return tuple(sorted(facts, key=lambda fact: (-fact.settles, -fact.weight, fact.path)))


def _is_input(path: str) -> bool:
    found = _ROOT.match(path)
    return found is not None and found[0] in _ROOTS and " " not in path


def _missing_candidates(proposal: Proposal) -> Iterator[tuple[str, tuple[str, str]]]:
    """Yield the fact that each candidate lacks, with its setpoint and criterion, once a group."""
    seen: set[tuple[str, str, str]] = set()
    for point in proposal.points:
        for level, setpoint in (("alarm", point.setpoints.alarm), ("trip", point.setpoints.trip)):
            for candidate in () if setpoint is None else setpoint.candidates:
                found = (candidate.needs or "", f"{level} {point.voting_group}", candidate.criterion)
                if candidate.needs is not None and found not in seen:
                    seen.add(found)
                    yield candidate.needs, found[1:]


def _changes(candidates: Iterable[tuple[str, str]]) -> Iterator[str]:
    """Yield what a further candidate can do: setpoints are the least of theirs, so it can only lower one."""
    groups: dict[str, list[str]] = {}
    for place, _ in candidates:
        level, _, group = place.partition(" ")
        groups.setdefault(level, []).append(group)
    for level, named in groups.items():
        yield f"the {level} of {item_words(named)} may be lower"


def _sentence(fact: str, assumed: bool, counts: list[int], changes: tuple[str, ...]) -> str:
    words = ("check", "open point", "candidate of a setpoint")
    plural = ("checks", "open points", "candidates of setpoints")
    parts = ["1 assumption"] if assumed else []
    parts += [
        f"{count} {one if count == 1 else more}"
        for count, one, more in zip(counts, words, plural, strict=True)
        if count
    ]
    listed = ", ".join(parts[:-1]) + (" and " if len(parts) > 1 else "") + parts[-1]
    named = "; ".join(changes[:_NAMED_AT_MOST])
    more = f" and {len(changes) - _NAMED_AT_MOST} more" if len(changes) > _NAMED_AT_MOST else ""
    may = f". What it may change: {named}{more}" if changes else ""
    return f"{fact[0].upper()}{fact[1:]} would settle {listed}{may}."
