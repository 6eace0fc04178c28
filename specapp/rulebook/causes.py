"""Why two proposals differ: their descriptions, criteria, overrides and rulebooks, and who read what.

Differences of the descriptions are found by pinion name, so that pinions in another order are not taken
for other pinions. An item is put down to those differences that its recorded reasons read; a derived fact
that a reason read ("P1.acceptance_limit_um") leads on to the reasons from which it came.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Mapping
from typing import Any

from specapp.domain.proposal import Point, Proposal, Reason, Record
from specapp.rulebook.compared_items import row_key, traced
from specapp.rulebook.fact_names import fact_words, pinion_names, value_words

_PINION = re.compile(r"pinions\[(\d+)\]")
# Parts of a description that say nothing which a rule could read.
_LEFT_OUT = frozenset({"format", "criteria"})


class Cause(Record, frozen=True):
    """One difference behind the others.

    ``kind`` is input, criterion, override or rulebook; ``key`` the path (as in the later proposal, where it
    is there), the criterion, the item and field, or "version"; ``text`` says it in words.
    """

    kind: str
    key: str
    was: Any
    now: Any
    text: str


def causes_between(
    before: Proposal, after: Proposal, pinions: tuple[Cause, ...] | None = None
) -> tuple[Cause, ...]:
    """Return every difference of what two proposals were made from.

    ``pinions`` says what was done to the pinions, where that is known; None: their names tell.
    """
    return (
        *(pinions or ()),
        *_inputs(before.machine, after.machine),
        *(_pinions(before.machine, after.machine) if pinions is None else ()),
        *_criteria(before, after),
        *_overrides(before, after),
        *_rulebook(before, after),
    )


def _inputs(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Cause]:
    parts = {name for name in {**before, **after} if before.get(name) != after.get(name)}
    was, now = _named_facts(before, parts), _named_facts(after, parts)
    names = pinion_names(after), pinion_names(before)
    for key in [*now, *(key for key in was if key not in now)]:
        path, value = now.get(key, (None, None))
        path_before, value_before = was.get(key, (None, None))
        if value != value_before:
            shown = path or path_before or key
            words = fact_words(shown, names[path is None])
            text = f"{words}: was {value_words(shown, value_before)}, is {value_words(shown, value)}"
            if key == "sources":
                text = _sources_text(value_before or {}, value or {}, names[False])
            yield Cause("input", shown, value_before, value, text)


def _sources_text(was: Mapping[str, Any], now: Mapping[str, Any], pinions: tuple[str, ...]) -> str:
    facts = [path for path in {**now, **was} if now.get(path) != was.get(path)]
    return f"another source is told for {', '.join(fact_words(path, pinions) for path in facts)}"


def _pinions(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Cause]:
    was, now = pinion_names(before), pinion_names(after)
    if was != now:
        text = f"the pinions were {', '.join(was)}, are {', '.join(now)}"
        yield Cause("input", "pinions", list(was), list(now), text)


def _named_facts(machine: Mapping[str, Any], parts: Container[str]) -> dict[str, tuple[str, Any]]:
    """Return every fact of some parts with its path; a pinion's under its name instead of its place."""
    facts: dict[str, tuple[str, Any]] = {}
    for name, value in machine.items():
        if name not in parts:
            continue
        if name == "pinions":
            for index, (pinion, named) in enumerate(zip(value, pinion_names(machine), strict=True)):
                told = {field: each for field, each in pinion.items() if field != "name"}
                facts |= _flat(f"{named} ", f"pinions[{index}].", told)
        elif name not in _LEFT_OUT:
            facts |= _flat("", "", {name: value})
    return facts


def _flat(key: str, path: str, told: Mapping[str, Any]) -> dict[str, tuple[str, Any]]:
    facts: dict[str, tuple[str, Any]] = {}
    for name, value in told.items():
        if isinstance(value, Mapping) and name != "sources":
            facts |= _flat(f"{key}{name}.", f"{path}{name}.", value)
        else:
            facts[f"{key}{name}"] = (f"{path}{name}", value)
    return facts


def _criteria(before: Proposal, after: Proposal) -> Iterator[Cause]:
    if before.criteria == after.criteria:
        return
    was, now = _in_force(before), _in_force(after)
    for key in [*now, *(key for key in was if key not in now)]:
        if key in was and key in now and was[key] != now[key]:
            text = f"criterion {key} was {was[key][0]}, is {now[key][0]}"
            if was[key][0] == now[key][0]:
                text = f"criterion {key} has another status or reason"
            yield Cause("criterion", key, was[key][0], now[key][0], text)


def _in_force(proposal: Proposal) -> dict[str, tuple[Any, Any, Any]]:
    return {row["key"]: (row["value"], row["status"], row["override"]) for row in proposal.criteria}


def _overrides(before: Proposal, after: Proposal) -> Iterator[Cause]:
    was = {(item.item, item.field): item.value for item in before.overrides}
    now = {(item.item, item.field): item.value for item in after.overrides}
    for key in [*now, *(key for key in was if key not in now)]:
        if was.get(key) != now.get(key):
            text = f"{key[1]} of {key[0]} was {_override(was.get(key))}, is {_override(now.get(key))}"
            yield Cause("override", " ".join(key), was.get(key), now.get(key), text)


def _override(value: Any) -> str:
    return "left to the rules" if value is None else f"set to {value}"


def _rulebook(before: Proposal, after: Proposal) -> Iterator[Cause]:
    if before.rulebook_version != after.rulebook_version:
        versions = before.rulebook_version, after.rulebook_version
        text = f"rulebook {versions[0]} became {versions[1]}"
        yield Cause("rulebook", "version", *versions, text)


class _Reasons:
    """The reasons of one proposal's items, and what they read, derived facts followed to their inputs."""

    def __init__(self, proposal: Proposal) -> None:
        self.proposal = proposal
        self.points = {point.key: point for point in proposal.points}
        self.groups: dict[str, list[Point]] = {}
        for point in proposal.points:
            self.groups.setdefault(point.voting_group, []).append(point)
        self.checks = {(check.subject, check.check): check for check in proposal.checks}
        self._known: dict[str, frozenset[str]] = {}
        self._by_shaft: dict[str, list[Reason]] = {}
        self._paths = {name: f"pinions[{i}]" for i, name in enumerate(pinion_names(proposal.machine))}
        self._paths |= {"BG": "bull_gear", "M": "driver"}
        self._rows: dict[str, dict[str, Any]] = {}

    def of_indexes(self, indexes: Iterable[int]) -> list[Reason]:
        return [self.proposal.trace[index] for index in indexes]

    def of_group(self, group: str) -> list[Reason]:
        reasons: list[Reason] = []
        for point in self.groups.get(group, ())[:1]:
            for setpoint in (point.setpoints.alarm, point.setpoints.trip):
                if setpoint is not None:
                    reasons += self.of_indexes(setpoint.trace)
            reasons += point.because
        return reasons

    def of_row(self, name: str, key: str) -> list[Reason]:
        if name not in self._rows:
            self._rows[name] = {row_key(name, row): row for row in getattr(self.proposal, name)}
        row = self._rows[name].get(key)
        if row is None:
            return []
        because = getattr(row, "because", None)
        own = list(because) if isinstance(because, tuple) else self.of_indexes(traced(row))
        group = getattr(row, "cause", key)
        return own + self.of_group(group) if name in ("cause_and_effect", "safety_functions") else own

    def points_of(self, name: str, key: str) -> frozenset[str]:
        """Return the points that a row counts."""
        self.of_row(name, key)
        return frozenset(getattr(self._rows[name].get(key), "points", ()))

    def shaft_path(self, name: str) -> str | None:
        return self._paths.get(name)

    def reads(self, reasons: Iterable[Reason]) -> set[str]:
        """Return the facts that reasons rest on, and the inputs behind those that are derived."""
        found: set[str] = set()
        for reason in reasons:
            for path in reason.reads:
                found.add(path)
                found |= self._behind(path)
        return found

    def _behind(self, fact: str) -> frozenset[str]:
        """Return what stands behind a derived fact: of a group its setpoints, of a shaft its own facts."""
        if fact not in self._known:
            self._known[fact] = frozenset()  # a fact that leads back to itself adds nothing
            self._known[fact] = self._found_behind(fact)
        return self._known[fact]

    def _found_behind(self, fact: str) -> frozenset[str]:
        subject, dot, _ = fact.rpartition(".")
        if not dot:
            return frozenset()
        if subject in self.groups or subject in self.points:
            reasons = self.of_group(subject if subject in self.groups else self.points[subject].voting_group)
            return frozenset(self.reads(reasons))
        path = self._paths.get(subject)
        if path is None:
            return frozenset()
        own = {read for reason in self.proposal.trace for read in reason.reads if read.startswith(f"{path}.")}
        return frozenset(own)


class Attribution:
    """Which causes lead to the difference of which item."""

    def __init__(self, before: Proposal, after: Proposal, causes: tuple[Cause, ...]) -> None:
        self._causes = causes
        self._sides = (_Reasons(before), _Reasons(after))
        self._inputs = {cause.key: cause for cause in causes if cause.kind == "input"}
        self._criteria = {cause.key: cause for cause in causes if cause.kind == "criterion"}
        self._places = {f"{cause.kind} {cause.key}": place for place, cause in enumerate(causes)}
        self._reasons: tuple[dict[int, frozenset[int]], ...] = ({}, {})
        self._paths: tuple[dict[str, frozenset[int]], ...] = ({}, {})
        self._rulebook = tuple(cause for cause in causes if cause.kind == "rulebook")
        # The earlier proposal read a pinion's facts at its earlier place.
        self._names = tuple(pinion_names(side.proposal.machine) for side in self._sides)
        self._made: dict[tuple[str, str], tuple[Cause, ...]] = {}

    def of_point(self, key: str) -> tuple[Cause, ...]:
        return self._once("point", key, lambda side: _because(side.points.get(key)))

    def of_group(self, group: str) -> tuple[Cause, ...]:
        return self._once("group", group, lambda side: side.of_group(group))

    def of_check(self, subject: str, check: str) -> tuple[Cause, ...]:
        def reasons(side: _Reasons) -> list[Reason]:
            found = side.checks.get((subject, check))
            return [] if found is None else side.of_indexes(found.trace)

        return self._once(f"check {check}", subject, reasons)

    def of_row(self, name: str, key: str) -> tuple[Cause, ...]:
        return self._once(name, key, lambda side: side.of_row(name, key))

    def of_count(self, name: str, key: str) -> tuple[Cause, ...]:
        """Return the causes of a counted row: those of the points that joined or left it."""
        was, now = (side.points_of(name, key) for side in self._sides)
        own = [*self.of_row(name, key), *(cause for point in was ^ now for cause in self.of_point(point))]
        return tuple(cause for cause in self._causes if cause in own)

    def of_shaft(self, name: str) -> tuple[Cause, ...]:
        paths = [side.shaft_path(name) for side in self._sides]
        found = [
            cause
            for key, cause in self._inputs.items()
            if any(path is not None and key.startswith(f"{path}.") for path in paths)
            or key in ("bull_gear.speed", "bull_gear.teeth", "driver.speed", "pinions", "stage_count")
        ]
        caps = [cause for key, cause in self._criteria.items() if key.endswith("acceptance_cap")]
        return (*found, *caps, *self._rulebook)

    def anything(self, item: str) -> tuple[Cause, ...]:
        """Return all causes: the architecture rests on all points together."""
        return self._causes

    def _once(self, kind: str, item: str, reasons: Any) -> tuple[Cause, ...]:
        if (kind, item) not in self._made:
            self._made[kind, item] = self._found(item, reasons)
        return self._made[kind, item]

    def _found(self, item: str, reasons: Any) -> tuple[Cause, ...]:
        found: set[int] = set()
        for number, side in enumerate(self._sides):
            for reason in reasons(side):
                found |= self._of_reason(reason, number)
        for place, cause in enumerate(self._causes):
            if cause.kind == "override":
                target = cause.key.rpartition(" ")[0]
                if target == item or target.startswith(f"{item}/") or item.startswith(f"{target}/"):
                    found.add(place)
        ordered = tuple(self._causes[place] for place in sorted(found))
        return (*ordered, *self._rulebook) or self._only_cause()

    def _of_reason(self, reason: Reason, number: int) -> frozenset[int]:
        """Return the places of the causes that a reason of one proposal rests on."""
        # Many items share a reason; the proposals keep them all alive, so that an id stays the reason's own.
        known = self._reasons[number]
        if id(reason) not in known:
            found = {self._places[f"criterion {r.key}"] for r in reason.criteria if r.key in self._criteria}
            for path in self._sides[number].reads([reason]):
                found |= self._of_path(path, number)
            known[id(reason)] = frozenset(found)
        return known[id(reason)]

    def _of_path(self, path: str, number: int) -> frozenset[int]:
        """Return the places of the changed inputs that a path names: itself, or what it holds."""
        known = self._paths[number]
        if path not in known:
            named = self._moved(path) if number == 0 else path
            inside = (f"{named}.", f"{named}[")
            known[path] = frozenset(
                self._places[f"input {key}"] for key in self._inputs if key == named or key.startswith(inside)
            )
        return known[path]

    def _moved(self, path: str) -> str:
        """Return a path of the earlier description as the later one has it, where the pinion has moved."""
        found = _PINION.match(path)
        if found is None or self._names[0] == self._names[1] or int(found[1]) >= len(self._names[0]):
            return path
        name = self._names[0][int(found[1])]
        if name not in self._names[1]:
            return path
        return f"pinions[{self._names[1].index(name)}]{path[found.end() :]}"

    def _only_cause(self) -> tuple[Cause, ...]:
        """Return the one cause there is, where no reason names any; with several, none is guessed."""
        return self._causes if len(self._causes) == 1 else ()


def _because(point: Point | None) -> list[Reason]:
    return [] if point is None else list(point.because)
