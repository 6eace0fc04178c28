"""What another value of one input would turn, by running again only the rules that it reaches.

One watched run tells what every rule looks at. With another value of an input, the rules that looked at it
run again, then those that looked at anything these answer differently, and so on in order; every other
rule would be given exactly what it was given before, and so answers what it answered before. Where the set
of points, shafts or bearings itself changes, everything is run again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from functools import lru_cache
from itertools import islice, pairwise
from types import UnionType
from typing import Any, NoReturn, get_args, get_origin, get_type_hints

from specapp.criteria.loader import CriteriaSet
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import Override
from specapp.domain.proposal import (
    AppliedOverride,
    Assumption,
    BillLine,
    CauseAndEffect,
    Check,
    FrequencyLine,
    GoverningDocument,
    Interface,
    JunctionBox,
    OpenPoint,
    ProcessProtection,
    Rack,
    ReconciliationLine,
    Relay,
    Responsibility,
)
from specapp.kernel.errors import MissingInput
from specapp.rulebook.context import (
    Assign,
    AssignAll,
    Bearing,
    Cable,
    Context,
    PointDraft,
    Shaft,
    Strike,
    Undecided,
)
from specapp.rulebook.description_paths import with_value
from specapp.rulebook.engine import _order_points, _run, rules_by_phase
from specapp.rulebook.kinds import (
    POINT_KINDS,
    Kind,
    Kinds,
    Turned,
    check_kinds,
    draft_kind,
    kinds_of_context,
    open_point_kinds,
    turned,
)
from specapp.rulebook.registry import RULES, Phase, Rule
from specapp.rulebook.watched_run import (
    COLLECTIONS,
    CONTEXT,
    POINT,
    SETPOINT_FIELDS,
    SHAFT,
    RuleRun,
    changed_parts,
    quiet_context,
    watched_run,
)

# (item, field): a point's by its key, a shaft's by its key with a mark.
Place = tuple[str, str]
Writes = dict[Place, Any]

_COLLECTION_OF: dict[type, str] = {
    AppliedOverride: "applied_overrides",
    Assumption: "assumptions",
    OpenPoint: "open_points",
    GoverningDocument: "governing",
    FrequencyLine: "frequencies",
    Check: "checks",
    JunctionBox: "junction_boxes",
    Rack: "racks",
    Relay: "relays",
    Cable: "cables",
    Interface: "interfaces",
    CauseAndEffect: "cause_and_effect",
    ProcessProtection: "process_protection",
    BillLine: "bill",
    Responsibility: "responsibility",
    ReconciliationLine: "reconciliation",
    str: "architecture_notes",
    dict: "safety_functions",
}
_HAS_KIND = (Check, OpenPoint, PointDraft, Assign, AssignAll, Strike, Shaft, Bearing)
_BY_KEY = {"assumptions": "field", "open_points": "key"}
_SHAFT_FIELDS = tuple(
    field.name for field in fields(Shaft) if field.name not in ("key", "path", "kind", "told", "bearings")
)
_BEARING_FIELDS = tuple(field.name for field in fields(Bearing) if field.name not in ("key", "shaft"))
_DRAFT_FIELDS = tuple(
    field.name
    for field in fields(PointDraft)
    if field.name not in ("key", "shaft", "bearing", "reasons", "assigned_by", "group")
)
_SHAFT_MARK = "shaft "


class _Structure(Exception):
    """What is there at all would change, not only what it is like."""


class _Stale:
    """Stands for results of a rule that was not run again because nothing seemed to need them."""

    def _refuse(self, *_: Any) -> NoReturn:
        raise _Structure

    __iter__ = __len__ = __getitem__ = __contains__ = __bool__ = __getattr__ = _refuse


_STALE = _Stale()


@lru_cache(maxsize=512)
def _answer_types(rule: Rule) -> frozenset[type]:
    """Return what a rule can answer with, by its signature, which the type checker holds it to."""
    (item,) = get_args(get_type_hints(rule.function)["return"])
    each = get_args(item) if isinstance(item, UnionType) else (item,)
    return frozenset(get_origin(kind) or kind for kind in each)


class Reevaluation:
    """One description, its watched run, and what would turn with another value of one input."""

    def __init__(
        self, machine: MachineDescription, criteria: CriteriaSet, overrides: Sequence[Override] = ()
    ) -> None:
        self.machine = machine
        self._criteria, self._overrides = criteria, overrides
        run = watched_run(machine, criteria, overrides)
        self._runs = run.rules
        self._final = run.context
        self._context = _copy_of(run.context)
        self.kinds = kinds_of_context(run.context)
        self._whole = bool(run.context.conflicts)
        self._moves_points = any(item.field in ("added", "struck") for item in overrides)
        self._collections = {name: getattr(run.context, name) for name in COLLECTIONS}
        self._answered = [_Answer(each) for each in self._runs]
        self._writers = self._all_writers()
        self._silent = self._unread_rules()
        self._open_points = self._holders()
        self._steps = self._all_steps()
        self._position = len(self._runs)
        self._views: dict[int, dict[str, Any]] = {}
        self._readers: dict[str, bool] = {}

    def reaches(self, path: str) -> bool:
        """Tell whether any rule looked at an input."""
        if path not in self._readers:
            self._readers[path] = any(path in run.reads for run in self._runs)
        return self._readers[path]

    def assumed(self, path: str) -> float | None:
        """Return the number that the rules assume at a path, None where they assume none."""
        assumption = self._final.assumptions.get(path)
        value = None if assumption is None else assumption.value
        return None if isinstance(value, bool) or not isinstance(value, int | float) else float(value)

    def checks_moved_by(self, path: str, value: float) -> frozenset[Kind]:
        """Return the checks that say anything else with this value; none where points come or go."""
        replay = _Replay(self, with_value(self.machine, path, value), path)
        try:
            replay.turned()
        except _Structure:
            return frozenset()
        return frozenset(replay.moved_checks())

    def turned_by(self, path: str, value: float) -> Turned:
        """Return everything that is of another kind with this value of one input."""
        if not self.reaches(path):
            return {}
        machine = with_value(self.machine, path, value)
        if not self._whole:
            try:
                return _Replay(self, machine, path).turned()
            except _Structure:
                pass
        return turned(self.kinds, self.kinds_of_machine(machine))

    def kinds_of_machine(self, machine: MachineDescription) -> Kinds:
        """Return the kinds of another description in full, every rule run."""
        context = quiet_context(machine, self._criteria, self._overrides)
        for phase, rules in rules_by_phase(len(RULES)).items():
            for rule in rules:
                _run(context, rule)
            if phase is Phase.POINTS:
                _order_points(context)
        return kinds_of_context(context)

    def _all_writers(self) -> dict[Place, list[tuple[int, Any]]]:
        """Return, for every field of every point, which rules gave it a value, in order; creation first."""
        writers: dict[Place, list[tuple[int, Any]]] = {}
        for run, answer in zip(self._runs, self._answered, strict=True):
            for key, values in run.created.items():
                for field in _DRAFT_FIELDS:
                    writers.setdefault((key, field), [(run.place, values[field])])
            for place, value in answer.writes.items():
                writers.setdefault(place, []).append((run.place, value))
        return writers

    def _unread_rules(self) -> frozenset[int]:
        """Return the rules whose answers have no kind and reach no rule whose answers have one."""
        types = [_answer_types(run.rule) for run in self._runs]
        needed = {place for place, kinds in enumerate(types) if not kinds.isdisjoint(_HAS_KIND)}
        while True:
            read = {name for place in needed for name in self._runs[place].reads if name.startswith(CONTEXT)}
            more = {
                place
                for place, kinds in enumerate(types)
                if place not in needed
                and any(
                    f"{CONTEXT}{_COLLECTION_OF[kind]}" in read for kind in kinds if kind in _COLLECTION_OF
                )
            }
            if not more:
                return frozenset(range(len(types))) - needed
            needed |= more

    def _holders(self) -> dict[str, set[int]]:
        """Return which rules ask each open point."""
        holders: dict[str, set[int]] = {}
        for run, answer in zip(self._runs, self._answered, strict=True):
            for item in answer.others.get("open_points", ()):
                holders.setdefault(item.key, set()).add(run.place)
        return holders

    def _all_steps(self) -> list[list[tuple[PointDraft, str, Any, Any]]]:
        """Return, by rule, which fields of points it changed from what to what."""
        steps: list[list[tuple[PointDraft, str, Any, Any]]] = [[] for _ in self._runs]
        for (key, field), writers in self._writers.items():
            point = self._final.points.get(key)
            if point is not None:
                for (_, before), (place, after) in pairwise(writers):
                    steps[place].append((point, field, before, after))
        return steps

    def _stand_before(self, place: int) -> None:
        """Put every point into the state in which a rule found it."""
        while self._position > place:
            self._position -= 1
            for point, field, before, _ in self._steps[self._position]:
                setattr(point, field, before)
        while self._position < place:
            for point, field, _, after in self._steps[self._position]:
                setattr(point, field, after)
            self._position += 1

    def _value_in_base(self, place: Place) -> Any:
        return self._writers[place][-1][1]

    def _view(self, place: int) -> dict[str, Any]:
        """Return every list of results as it stood when a rule ran."""
        if place not in self._views:
            lengths = self._runs[place].lengths_before
            self._views[place] = {
                name: _first(collection, lengths[name]) for name, collection in self._collections.items()
            }
        return self._views[place]


def _copy_of(context: Context) -> Context:
    """Return a context that shares everything with another and may be given other lists and machines."""
    return type(context)(**{field.name: getattr(context, field.name) for field in fields(Context)})


def _first(collection: Any, count: int) -> Any:
    if len(collection) == count:
        return collection
    if isinstance(collection, dict):
        return dict(islice(collection.items(), count))
    return collection[:count]


class _Answer:
    """The items of one rule, sorted: values given to fields, points, shafts, and the rest by list."""

    __slots__ = ("bearings", "drafts", "others", "shafts", "struck", "writes")

    def __init__(self, run: RuleRun, items: list[Any] | None = None) -> None:
        self.writes: Writes = {}
        self.drafts: dict[str, PointDraft] = {}
        self.shafts: dict[str, Shaft] = {}
        self.bearings: dict[str, Bearing] = {}
        self.struck: set[str] = set()
        self.others: dict[str, list[Any]] = {}
        for item in run.items if items is None else items:
            kind = type(item)
            if kind is AssignAll:
                for point in item.points:
                    for name, value in item.values.items():
                        self.writes[point.key, name] = value
            elif kind is Assign:
                self.writes[item.point, item.field] = item.value
            elif kind is PointDraft:
                self.drafts.setdefault(item.key, item)
            elif kind is Shaft:
                self.shafts[item.key] = item
            elif kind is Bearing:
                self.bearings[item.key] = item
            elif kind is Strike:
                self.struck.add(item.point)
            elif kind is not Undecided:
                self.others.setdefault(_COLLECTION_OF[kind], []).append(item)


class _Replay:
    """One value of one input: which rules run again, and what their answers turn."""

    def __init__(self, base: Reevaluation, machine: MachineDescription, path: str) -> None:
        self._base, self._machine = base, machine
        self._dirty = {path}
        self._answers: dict[int, _Answer] = {}
        self._touched: dict[Place, None] = {}
        self._stale: set[str] = set()
        self._owner = path.rpartition(".")[0]
        self._turned: Turned = {}

    def turned(self) -> Turned:
        base = self._base
        for run, before in zip(base._runs, base._answered, strict=True):
            if run.reads.isdisjoint(self._dirty):
                continue
            if run.place in base._silent:
                self._stale |= {
                    _COLLECTION_OF[kind] for kind in _answer_types(run.rule) if kind in _COLLECTION_OF
                }
                continue
            if base._moves_points and run.rule.phase <= Phase.POINTS:
                raise _Structure
            after = _Answer(run, self._run_again(run))
            self._answers[run.place] = after
            self._compare(run, before, after)
        for place in self._touched:
            self._turn(place)
        return self._turned

    def moved_checks(self) -> Iterator[Kind]:
        """Yield the checks that were answered again, and otherwise."""
        for place, answer in self._answers.items():
            was = set(map(_said, self._base._answered[place].others.get("checks", ())))
            for check in answer.others.get("checks", ()):
                if _said(check) not in was:
                    yield ("check", check.subject, check.check)

    def _run_again(self, run: RuleRun) -> list[Any]:
        base, context = self._base, self._base._context
        early = run.rule.phase <= Phase.POINTS
        context.points = run.points_before if early else base._final.points
        context.groups = run.groups_before if early else base._final.groups
        for name, collection in base._view(run.place).items():
            setattr(context, name, collection)
        for name in COLLECTIONS:
            if f"{CONTEXT}{name}" in self._dirty:
                setattr(context, name, self._rebuilt(name, run.place))
        for name in self._stale:
            setattr(context, name, _STALE)
        context.machine, context.current_rule = self._machine, run.rule
        base._stand_before(run.place)
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

    def _overlay(self, place: int) -> Iterator[tuple[Any, str, Any]]:
        """Yield what earlier rules that ran again have changed, as it stands when a rule runs."""
        final = self._base._final
        for shaft in final.shafts.values():
            if shaft.path == self._owner:
                yield shaft, "told", _told(self._machine, shaft.path)
        for item, field in self._touched:
            if item.startswith(_SHAFT_MARK):
                yield final.shafts[item.removeprefix(_SHAFT_MARK)], field, self._value((item, field), place)
            else:
                yield final.points[item], field, self._value((item, field), place)

    def _value(self, place: Place, before: int) -> Any:
        """Return the value of a field when the rule at `before` runs."""
        at, value = -1, None
        for number, (writer, given) in enumerate(self._base._writers.get(place, ())):
            if writer < before and (number == 0 or writer not in self._answers):
                at, value = writer, given
        for writer, answer in self._answers.items():
            if at <= writer < before and place in answer.writes:
                at, value = writer, answer.writes[place]
        return value

    def _rebuilt(self, name: str, before: int) -> Any:
        items: list[Any] = []
        for place, answer in enumerate(self._base._answered[:before]):
            items += self._answers.get(place, answer).others.get(name, ())
        if name not in _BY_KEY:
            return items
        by_key: dict[str, Any] = {}
        for item in items:
            by_key.setdefault(getattr(item, _BY_KEY[name]), item)
        return by_key

    def _compare(self, run: RuleRun, before: _Answer, after: _Answer) -> None:
        """Record what a rule answers differently: what rests on it runs again, what has a kind may turn."""
        if (
            before.drafts.keys() != after.drafts.keys()
            or before.shafts.keys() != after.shafts.keys()
            or before.struck != after.struck
            or not _same_bearings(before.bearings, after.bearings)
        ):
            raise _Structure
        for place, value in after.writes.items():
            if place not in before.writes or before.writes[place] != value:
                self._point_write(run, place)
        for place in before.writes.keys() - after.writes.keys():
            self._point_write(run, place)
        for key, shaft in after.shafts.items():
            for field in _SHAFT_FIELDS:
                value = getattr(shaft, field)
                if value != getattr(before.shafts[key], field):
                    self._write((f"{_SHAFT_MARK}{key}", field), value, after, f"{SHAFT}{field}")
        for key, draft in after.drafts.items():
            created = run.created[key]
            for field in _DRAFT_FIELDS:
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

    def _write(self, place: Place, value: Any, answer: _Answer, resource: str) -> None:
        answer.writes[place] = value
        self._touched[place] = None
        self._dirty.add(resource)

    def _point_write(self, run: RuleRun, place: Place) -> None:
        """Record another value of a point's field; where rules would newly disagree, run everything."""
        rules = {
            writer: self._base._runs[writer].rule for writer, _ in self._base._writers.get(place, ())[1:]
        }
        rules |= {at: self._base._runs[at].rule for at, each in self._answers.items() if place in each.writes}
        ordered = [rules[at] for at in sorted(rules)]
        for first, second in pairwise(ordered):
            if first.id not in second.supersedes:
                raise _Structure
        if place[0] not in self._base._final.points:
            raise _Structure
        self._touched[place] = None
        self._dirty.add(f"{POINT}{place[1]}")
        if place[1] in SETPOINT_FIELDS:
            was = self._base._value_in_base(place)
            self._dirty |= changed_parts(place[1], was, self._value(place, len(self._base._runs)))

    def _open_points(self, run: RuleRun, was: list[OpenPoint], now: list[OpenPoint]) -> Turned:
        """Return the open points that appear or go; several rules may ask the same one."""
        asked = {item.key for item in now}
        for key in {item.key for item in was} - asked:
            others = self._base._open_points[key] - {run.place}
            if any(self._asks(place, key) for place in others):
                now = [*now, *(item for item in was if item.key == key)]
        was = [*was, *(item for item in now if item.key in self._base._open_points)]
        return turned(open_point_kinds(was), open_point_kinds(now))

    def _asks(self, place: int, key: str) -> bool:
        answer = self._answers.get(place, self._base._answered[place])
        return any(item.key == key for item in answer.others.get("open_points", ()))

    def _turn(self, place: Place) -> None:
        item, field = place
        if field in POINT_KINDS and not item.startswith(_SHAFT_MARK):
            draft = self._base._final.points[item]
            kind, now = draft_kind(draft, field, self._value(place, len(self._base._runs)))
            if self._base.kinds[kind] != now:
                self._turned[kind] = (self._base.kinds[kind], now)


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
        for field in _BEARING_FIELDS
    )
