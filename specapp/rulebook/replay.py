"""One value of one input: which rules run again, and what their answers turn."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from specapp.domain.machine import MachineDescription
from specapp.domain.proposal import Check, OpenPoint
from specapp.kernel.errors import MissingInput
from specapp.rulebook.context import Bearing
from specapp.rulebook.kinds import (
    POINT_KINDS,
    Kind,
    Turned,
    check_kinds,
    draft_kind,
    open_point_kinds,
    turned,
)
from specapp.rulebook.registry import Phase
from specapp.rulebook.replay_ground import UNREAD, Looked, ReplayGround, Structure
from specapp.rulebook.rule_answers import (
    BEARING_FIELDS,
    BY_KEY,
    COLLECTION_OF,
    DRAFT_FIELDS,
    SHAFT_FIELDS,
    SHAFT_MARK,
    Answer,
    Place,
    answer_types,
)
from specapp.rulebook.watched_run import (
    CONTEXT,
    POINT,
    SETPOINT_FIELDS,
    SHAFT,
    RuleRun,
    changed_parts,
)


class Replay:
    """One value of one input: which rules run again, and what their answers turn."""

    def __init__(self, ground: ReplayGround, machine: MachineDescription, path: str) -> None:
        self._ground, self._machine = ground, machine
        self._dirty = {path}
        self._answers: dict[int, Answer] = {}
        self._touched: dict[Place, None] = {}
        self._stale: set[str] = set()
        self._owner = path.rpartition(".")[0]
        self._turned: Turned = {}

    def turned(self) -> Turned:
        ground = self._ground
        for run, before in zip(ground.runs, ground.answered, strict=True):
            if run.reads.isdisjoint(self._dirty):
                continue
            if run.place in ground.silent:
                kinds = answer_types(run.rule)
                self._stale |= {COLLECTION_OF[kind] for kind in kinds if kind in COLLECTION_OF}
                continue
            if ground.moves_points and run.rule.phase <= Phase.POINTS:
                raise Structure
            after = Answer(self._items(run))
            self._answers[run.place] = after
            self._compare(run, before, after)
        for place in self._touched:
            self._turn(place)
        return self._turned

    def moved_checks(self) -> Iterator[Kind]:
        """Yield the checks that were answered again, and otherwise."""
        for place, answer in self._answers.items():
            was = set(map(_said, self._ground.answered[place].others.get("checks", ())))
            for check in answer.others.get("checks", ()):
                if _said(check) not in was:
                    yield ("check", check.subject, check.check)

    def _items(self, run: RuleRun) -> list[Any]:
        """Return what a rule answers now; where it looks at more than before, it is given more."""
        while True:
            try:
                return self._run_again(run)
            except Looked as looked:
                if looked.name in self._stale:
                    raise Structure from None
                self._ground.also_looks(run, looked.name)

    def _run_again(self, run: RuleRun) -> list[Any]:
        ground, context = self._ground, self._ground.context
        early = run.rule.phase <= Phase.POINTS
        context.points = run.points_before if early else ground.final.points
        context.groups = run.groups_before if early else ground.final.groups
        view = ground.view(run.place)
        for name, collection in view.items():
            changed = f"{CONTEXT}{name}" in self._dirty
            setattr(context, name, self._rebuilt(name, run.place) if changed else collection)
        context.machine, context.current_rule = self._machine, run.rule
        context.dirty = self._dirty
        ground.stand_before(run.place)
        changes = list(self._overlay(run.place))
        restored = [(item, field, getattr(item, field)) for item, field, _ in changes]
        try:
            for item, field, value in changes:
                setattr(item, field, value)
            return list(run.rule.function(context))
        except MissingInput:
            return []
        finally:
            for item, field, value in reversed(restored):
                setattr(item, field, value)
            for name in view:
                setattr(context, name, UNREAD[name])

    def _overlay(self, place: int) -> Iterator[tuple[Any, str, Any]]:
        """Yield what earlier rules that ran again have changed, as it stands when a rule runs."""
        final = self._ground.final
        for shaft in final.shafts.values():
            if shaft.path == self._owner:
                yield shaft, "told", _told(self._machine, shaft.path)
        for item, field in self._touched:
            if item.startswith(SHAFT_MARK):
                yield final.shafts[item.removeprefix(SHAFT_MARK)], field, self._value((item, field), place)
            else:
                yield final.points[item], field, self._value((item, field), place)

    def _value(self, place: Place, before: int) -> Any:
        """Return the value of a field when the rule at `before` runs."""
        at, value = -1, None
        for number, (writer, given) in enumerate(self._ground.writers.get(place, ())):
            if writer < before and (number == 0 or writer not in self._answers):
                at, value = writer, given
        for writer, answer in self._answers.items():
            if at <= writer < before and place in answer.writes:
                at, value = writer, answer.writes[place]
        return value

    def _rebuilt(self, name: str, before: int) -> Any:
        items: list[Any] = []
        ground, again = self._ground, self._answers
        givers = {place for place, answer in again.items() if name in answer.others}
        for place in sorted(givers.union(ground.givers.get(name, ()))):
            if place < before:
                items += again.get(place, ground.answered[place]).others.get(name, ())
        if name not in BY_KEY:
            return items
        by_key: dict[str, Any] = {}
        for item in items:
            by_key.setdefault(getattr(item, BY_KEY[name]), item)
        return by_key

    def _compare(self, run: RuleRun, before: Answer, after: Answer) -> None:
        """Record what a rule answers differently: what rests on it runs again, what has a kind may turn."""
        if (
            before.drafts.keys() != after.drafts.keys()
            or before.shafts.keys() != after.shafts.keys()
            or before.struck != after.struck
            or not _same_bearings(before.bearings, after.bearings)
        ):
            raise Structure
        for place, value in after.writes.items():
            if place not in before.writes or before.writes[place] != value:
                self._point_write(run, place)
        for place in before.writes.keys() - after.writes.keys():
            self._point_write(run, place)
        for key, shaft in after.shafts.items():
            for field in SHAFT_FIELDS:
                value = getattr(shaft, field)
                if value != getattr(before.shafts[key], field):
                    self._write((f"{SHAFT_MARK}{key}", field), value, after, f"{SHAFT}{field}")
        for key, draft in after.drafts.items():
            created = run.created[key]
            for field in DRAFT_FIELDS:
                value = getattr(draft, field)
                if value != created[field]:
                    self._write((key, field), value, after, f"{POINT}{field}")
        for name in before.others.keys() | after.others.keys():
            was, now = before.others.get(name, []), after.others.get(name, [])
            if was != now:
                self._dirty.add(f"{CONTEXT}{name}")
                if name == "checks":
                    self._turned |= turned(check_kinds(was), check_kinds(now))
                elif name == "open_points":
                    self._turned |= self._open_points(run, was, now)

    def _write(self, place: Place, value: Any, answer: Answer, resource: str) -> None:
        answer.writes[place] = value
        self._touched[place] = None
        self._dirty.add(resource)

    def _point_write(self, run: RuleRun, place: Place) -> None:
        """Record another value of a point's field; where rules would newly disagree, run everything."""
        rules = {
            writer: self._ground.runs[writer].rule for writer, _ in self._ground.writers.get(place, ())[1:]
        }
        rules |= {
            at: self._ground.runs[at].rule for at, each in self._answers.items() if place in each.writes
        }
        ordered = [rules[at] for at in sorted(rules)]
        for first, second in pairwise(ordered):
            if first.id not in second.supersedes:
                raise Structure
        if place[0] not in self._ground.final.points:
            raise Structure
        self._touched[place] = None
        self._dirty.add(f"{POINT}{place[1]}")
        if place[1] in SETPOINT_FIELDS:
            was = self._ground.value_in_base(place)
            self._dirty |= changed_parts(place[1], was, self._value(place, len(self._ground.runs)))

    def _open_points(self, run: RuleRun, was: list[OpenPoint], now: list[OpenPoint]) -> Turned:
        """Return the open points that appear or go; several rules may ask the same one."""
        asked = {item.key for item in now}
        for key in {item.key for item in was} - asked:
            others = self._ground.open_points[key] - {run.place}
            if any(self._asks(place, key) for place in others):
                now = [*now, *(item for item in was if item.key == key)]
        was = [*was, *(item for item in now if item.key in self._ground.open_points)]
        return turned(open_point_kinds(was), open_point_kinds(now))

    def _asks(self, place: int, key: str) -> bool:
        answer = self._answers.get(place, self._ground.answered[place])
        return any(item.key == key for item in answer.others.get("open_points", ()))

    def _turn(self, place: Place) -> None:
        item, field = place
        if field in POINT_KINDS and not item.startswith(SHAFT_MARK):
            draft = self._ground.final.points[item]
            kind, now = draft_kind(draft, field, self._value(place, len(self._ground.runs)))
            if self._ground.kinds[kind] != now:
                self._turned[kind] = (self._ground.kinds[kind], now)


def _said(check: Check) -> tuple[Any, ...]:
    return check.check, check.subject, check.result, check.text


def _told(machine: MachineDescription, path: str) -> Any:
    if path.startswith("pinions["):
        return machine.pinions[int(path[len("pinions[") : -1])]
    return getattr(machine, path)


def _same_bearings(before: dict[str, Bearing], after: dict[str, Bearing]) -> bool:
    return before.keys() == after.keys() and all(
        getattr(bearing, field) == getattr(before[key], field)
        for key, bearing in after.items()
        for field in BEARING_FIELDS
    )
