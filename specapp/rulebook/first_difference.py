"""Why do these two differ? The first differing fact that leads to the different answer, in one sentence.

The reasons name what was read on the way; `decisive_facts` holds by substitution which of it decides.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from specapp.domain.proposal import Check, Point, Proposal, Reason, Record, Setpoint
from specapp.rulebook.causes import causes_between
from specapp.rulebook.check_names import candidate_words, check_words, criterion_title
from specapp.rulebook.decisive_facts import decisive_facts
from specapp.rulebook.fact_names import fact_words, pinion_names, value_at, value_words
from specapp.rulebook.registry import RULES

_PINION = re.compile(r"^pinions\[(\d+)\]")
_LAST = 10**6
_NAMED = 3


class FirstDifference(Record, frozen=True):
    """What two proposals say of one item, and the first fact or criterion that leads to the difference.

    ``fact`` is a machine/1 path of the first proposal, or a criterion; empty where none was found. ``facts``
    are all that are needed together, mostly that one. ``is_decisive``: with them the first proposal was
    seen to answer as the second does.
    """

    item: str
    said_before: str
    said_after: str
    fact: str
    was: Any
    now: Any
    facts: tuple[str, ...]
    is_decisive: bool
    text: str


def first_difference(
    before: Proposal,
    after: Proposal,
    item: str,
    check: str | None = None,
    names: tuple[str, str] | None = None,
) -> FirstDifference:
    """Return why two proposals answer differently about a point, a voting group or a check of a subject.

    ``item`` is a point key, a voting group, or the subject of ``check``; ``names`` is what the two
    proposals are called. Where both say the same, or neither knows the item, the sentence says so.
    """
    sides = _Side(before), _Side(after)
    called = names or ("the first", "the second")
    said = (sides[0].says(item, check), sides[1].says(item, check))
    subject = f"{check_words(check)} of {item}" if check else item
    if said[0] == said[1]:
        text = f"Both say the same of {subject}: {said[0]}."
        return FirstDifference(item, *said, "", None, None, (), False, text)
    start = f"{subject}: {said[0]} in {called[0]}, {said[1]} in {called[1]}"
    differing = {fact: (was, now) for fact, was, now in _differing(sides, item, check)}
    # What no reason of the item names may decide all the same: whether the item is there at all.
    others = {
        each.key: (each.was, each.now) for each in causes_between(before, after) if each.kind == "input"
    }
    differing |= {fact: told for fact, told in others.items() if fact not in differing and fact != "pinions"}
    deciding = decisive_facts(before, after, list(differing), lambda one: _Side(one).says(item, check))
    facts = deciding or list(differing)[:1]
    if facts:
        told = [_told_in_both(fact, *differing[fact], called, sides[0].names) for fact in facts[:_NAMED]]
        more = f" and {len(facts) - _NAMED} more facts" if len(facts) > _NAMED else ""
        why = "because" if deciding else "and among what differs"
        text = f"{start}, {why} {' and '.join(told)}{more}."
        return FirstDifference(
            item, *said, facts[0], *differing[facts[0]], tuple(facts), bool(deciding), text
        )
    rulebooks = before.rulebook_version, after.rulebook_version
    why = "no fact or criterion that its reasons read differs"
    if rulebooks[0] != rulebooks[1]:
        why = f"rulebook {rulebooks[0]} answers otherwise than {rulebooks[1]}"
    return FirstDifference(item, *said, "", None, None, (), False, f"{start}; {why}.")


def _told_in_both(fact: str, was: Any, now: Any, called: tuple[str, str], pinions: Sequence[str]) -> str:
    kind, _, key = fact.partition(" ")
    words = f'the criterion "{criterion_title(key)}"' if kind == "criterion" else fact_words(fact, pinions)
    shown = value_words(fact, was), value_words(fact, now)
    return f"{words} is {shown[0]} in {called[0]} and {shown[1]} in {called[1]}"


class _Side:
    """One of the two proposals: its items, their reasons, and every fact that any rule read."""

    def __init__(self, proposal: Proposal) -> None:
        self.proposal = proposal
        self.names = pinion_names(proposal.machine)
        self.facts: dict[str, Any] = {}
        for reason in proposal.trace:
            for path, value in reason.reads.items():
                self.facts.setdefault(self.common(path), value)
        self.criteria = {row["key"]: row["value"] for row in proposal.criteria}

    def common(self, path: str) -> str:
        """Return a path with the pinion's name in place of its number, the same in both proposals."""
        found = _PINION.match(path)
        if found is None or int(found[1]) >= len(self.names):
            return path
        return f"{self.names[int(found[1])]}:{path[found.end() + 1 :]}"

    def told(self, common: str) -> Any:
        """Return what the description gives at a path with a pinion's name in it."""
        name, colon, field = common.partition(":")
        path = f"pinions[{self.names.index(name)}].{field}" if colon and name in self.names else common
        return value_at(self.proposal.machine, path)

    def points(self, item: str) -> list[Point]:
        found = [point for point in self.proposal.points if point.voting_group == item]
        return found or [point for point in self.proposal.points if point.key == item]

    def check(self, subject: str, name: str) -> Check | None:
        checks = self.proposal.checks
        return next((each for each in checks if (each.subject, each.check) == (subject, name)), None)

    def says(self, item: str, check: str | None) -> str:
        if check is not None:
            found = self.check(item, check)
            return "not there" if found is None else found.result.replace("_", " ")
        points = self.points(item)
        if not points:
            return "not there"
        levels = points[0].setpoints
        said = [
            f"{name} {_setpoint(each)}"
            for name, each in (("alarm", levels.alarm), ("trip", levels.trip))
            if each
        ]
        probe = points[0].transducer
        tip = "" if probe.tip is None else f", {probe.tip.value:g} mm tip"
        return f"{', '.join(said) or 'there'}{tip}"

    def reasons(self, item: str, check: str | None) -> list[Reason]:
        """Return the reasons of an item, the earliest phase first."""
        trace = self.proposal.trace
        if check is not None:
            found = self.check(item, check)
            return [] if found is None else [trace[index] for index in found.trace]
        points = self.points(item)
        if not points:
            return []
        levels = (points[0].setpoints.alarm, points[0].setpoints.trip)
        of_levels = [trace[index] for level in levels if level is not None for index in level.trace]
        return sorted([*points[0].because, *of_levels], key=_phase)


def _phase(reason: Reason) -> int:
    rule = RULES.get(reason.rule)
    return _LAST if rule is None else int(rule.phase)


def _setpoint(setpoint: Setpoint) -> str:
    value = "none" if setpoint.value is None else f"{setpoint.value:g} {setpoint.unit}"
    return f"{value} by {candidate_words(setpoint.governed_by)}" + (
        "" if setpoint.status == "proposed" else f" ({setpoint.status})"
    )


def _differing(
    sides: tuple[_Side, _Side], item: str, check: str | None, seen: frozenset[str] = frozenset()
) -> Iterator[tuple[str, Any, Any]]:
    """Yield the facts and criteria that differ, in the order in which the reasons of the item read them."""
    # A check leads on to the setpoints of its own subject, setpoints never back to themselves.
    seen = seen if check is not None else seen | {item}
    for side in sides:
        for reason in side.reasons(item, check):
            for path in reason.reads:
                yield from _behind(sides, side.common(path), seen)
            for read in reason.criteria:
                was, now = (each.criteria.get(read.key) for each in sides)
                if None not in (was, now) and was != now:
                    yield f"criterion {read.key}", was, now


def _behind(sides: tuple[_Side, _Side], common: str, seen: frozenset[str]) -> Iterator[tuple[str, Any, Any]]:
    """Yield a fact if it differs; of a derived one, what it was derived from."""
    told = [side.told(common) for side in sides]
    if told[0] != told[1]:
        yield _path(sides, common), told[0], told[1]
        return
    was, now = (side.facts.get(common) for side in sides)
    if was == now:
        return
    subject, _, _ = common.rpartition(".")
    if subject in seen:
        return
    if any(side.points(subject) for side in sides):
        yield from _differing(sides, subject, None, seen)
    else:
        yield from _of_shaft(sides, subject)
    if told[0] is not None:
        yield _path(sides, common), was, now


def _of_shaft(sides: tuple[_Side, _Side], shaft: str) -> Iterator[tuple[str, Any, Any]]:
    """Yield the facts of a shaft that differ, in the order in which rules first read them."""
    prefix = {"BG": "bull_gear.", "M": "driver."}.get(shaft, f"{shaft}:")
    for common in _once([*sides[0].facts, *sides[1].facts]):
        if common.startswith(prefix):
            told = [side.told(common) for side in sides]
            if told[0] != told[1]:
                yield _path(sides, common), told[0], told[1]


def _once(paths: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(paths))


def _path(sides: tuple[_Side, _Side], common: str) -> str:
    """Return a common path as the first proposal writes it, else the second."""
    name, colon, field = common.partition(":")
    for side in sides:
        if colon and name in side.names:
            return f"pinions[{side.names.index(name)}].{field}"
    return common
