"""One run of the rules, watched: what each rule read, and what it answered.

The recorded reasons say what a rule *used*; this says everything it *looked at*: every field of the
description, of a shaft, of a point, and every list of earlier results. A rule whose looked-at values are
all unchanged answers the same, since rules are deterministic; `reevaluation` rests on nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from pydantic import BaseModel

from specapp.catalogue import gases
from specapp.criteria.loader import CriteriaSet
from specapp.criteria.loader import Override as CriterionValue
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import Override
from specapp.domain.proposal import Reason, Setpoint
from specapp.rulebook.context import Bearing, Context, PointDraft, Shaft
from specapp.rulebook.engine import _order_points, _run, rules_by_phase
from specapp.rulebook.registry import RULES, Phase, Rule
from specapp.rulebook.setting_units import setting_units
from specapp.rulebook.trace import Why

T = TypeVar("T")

Note = Callable[[str], None]

# Resources of the context carry a mark that no path of a description can have.
CONTEXT, POINT, SHAFT, BEARING = "@context.", "@point.", "@shaft.", "@bearing."
_UNSAID = Reason("", "", "", "", "common practice", {}, ())
# After the phase of setpoints these are looked at in parts, and a part that stays counts as unchanged.
SETPOINT_FIELDS = ("alarm", "trip")
# Every reason has this one index in a quiet context, so that answers differ only where they say something.
_ONE_REASON = 1


class _Unsaid(Why):
    """A recorder of which nothing is kept."""

    def say(self, text: str) -> int:
        return _ONE_REASON


class QuietContext(Context):
    """A context that keeps no reasons: for runs of which only the answers are wanted."""

    __slots__ = ()

    def why(self) -> Why:
        assert self.current_rule is not None, "a reason is only recorded while a rule runs"
        return _Unsaid(self, self.current_rule, self.criteria.values)

    def once(self, derive: Callable[[Context], T]) -> T:
        """Derive anew for every rule that asks: what it looks at is then noted for each of them."""
        return derive(self)


def quiet_context(
    machine: MachineDescription, criteria: CriteriaSet, overrides: Sequence[Override] = ()
) -> QuietContext:
    """Return an empty context for a description already read; its own overrides win over `criteria`."""
    told = {key: CriterionValue(float(item.value), item.reason) for key, item in machine.criteria.items()}
    in_force = criteria.with_overrides(told, origin="machine") if told else criteria
    names = [*machine.gases, *(machine.hazardous_area.area_gases or ())]
    known = {name: gases.find(name) for name in names}
    units = setting_units(machine.setting_units)
    context = QuietContext(machine, in_force, units, known, overrides)
    context.trace = [_UNSAID] * (_ONE_REASON + 1)
    return context


@dataclass(slots=True)
class RuleRun:
    """A rule in its place: what it looked at, what it answered, what stood in the context before it."""

    place: int
    rule: Rule
    reads: frozenset[str]
    items: list[Any]
    created: dict[str, dict[str, Any]]
    points_before: dict[str, PointDraft]
    groups_before: dict[str, list[PointDraft]]
    lengths_before: dict[str, int]


class _Recorder:
    """Collects what is looked at while a rule runs; silent between rules."""

    def __init__(self) -> None:
        self.reads: set[str] | None = None
        self.setpoints_stand = False

    def note(self, name: str) -> None:
        if self.reads is not None:
            self.reads.add(name)


class _WatchedModel:
    """A model of machine/1 that notes which of its fields are looked at."""

    __slots__ = ("_known", "_model", "_note", "_prefix")

    def __init__(self, model: BaseModel, prefix: str, note: Note) -> None:
        self._model, self._prefix, self._note = model, prefix, note
        self._known: dict[str, Any] = {}

    def __getattr__(self, name: str) -> Any:
        if name not in self._known:
            self._known[name] = _watched(getattr(self._model, name), f"{self._prefix}{name}", self._note)
        self._note(f"{self._prefix}{name}")
        return self._known[name]


def _watched(value: Any, path: str, note: Note) -> Any:
    if isinstance(value, BaseModel):
        return _WatchedModel(value, f"{path}.", note)
    if isinstance(value, Mapping) and any(isinstance(item, BaseModel) for item in value.values()):
        return {name: _watched(item, f"{path}.{name}", note) for name, item in value.items()}
    if isinstance(value, tuple) and any(isinstance(item, BaseModel) for item in value):
        return tuple(_watched(item, f"{path}[{index}]", note) for index, item in enumerate(value))
    return value


class _WatchedSetpoint:
    """A setpoint that notes which of its parts are looked at, for rules that only look."""

    __slots__ = ("_name", "_note", "_setpoint")

    def __init__(self, setpoint: Setpoint, name: str, note: Note) -> None:
        self._setpoint, self._name, self._note = setpoint, name, note

    def __getattr__(self, part: str) -> Any:
        self._note(f"{POINT}{self._name}.{part}")
        return getattr(self._setpoint, part)


def changed_parts(name: str, before: Setpoint | None, after: Setpoint | None) -> set[str]:
    """Return which parts of a setpoint differ, as they are noted; all of them where one is not there."""
    parts = Setpoint.__struct_fields__
    if before is None or after is None:
        return {f"{POINT}{name}.{part}" for part in parts} | {f"{POINT}{name}?"}
    return {f"{POINT}{name}.{part}" for part in parts if getattr(before, part) != getattr(after, part)}


def _watching(kind: type, prefix: str, recorder: _Recorder) -> type:
    """Return a class of the same layout that notes which fields of its objects are looked at."""
    structs = getattr(kind, "__struct_fields__", None)
    names = frozenset(field.name for field in fields(kind)) if structs is None else frozenset(structs)
    note = recorder.note
    plain = object.__getattribute__

    def look(self: object, name: str) -> Any:
        if name not in names:
            return plain(self, name)
        value = plain(self, name)
        if recorder.reads is not None and recorder.setpoints_stand and name in SETPOINT_FIELDS:
            note(f"{prefix}{name}?")
            return None if value is None else _WatchedSetpoint(value, name, note)
        note(f"{prefix}{name}")
        return value

    own = {"__slots__": ()} if structs is None else {}
    return type(kind)(f"Watched{kind.__name__}", (kind,), {**own, "__getattribute__": look})


# By derivation what it looked at and what it gave; `Context.once` has it the same for every rule that asks.
Derivation = Callable[[Context], Any]
Derived = dict[Derivation, tuple[frozenset[str], Any]]


@dataclass(slots=True)
class WatchedRun:
    """The finished context of a watched run, its rules in order, and what they derived together."""

    context: QuietContext
    rules: list[RuleRun]
    derived: Derived


COLLECTIONS = (
    "shafts",
    "bearings",
    "governing",
    "assumptions",
    "open_points",
    "frequencies",
    "checks",
    "junction_boxes",
    "racks",
    "relays",
    "cables",
    "interfaces",
    "architecture_notes",
    "cause_and_effect",
    "process_protection",
    "bill",
    "responsibility",
    "reconciliation",
    "safety_functions",
    "conflicts",
    "applied_overrides",
)


def watched_run(
    machine: MachineDescription, criteria: CriteriaSet, overrides: Sequence[Override] = ()
) -> WatchedRun:
    """Run the rules once on a description, and return what each looked at and answered.

    The context comes back as after an ordinary run, with nothing watched any more.
    """
    recorder = _Recorder()
    context = quiet_context(machine, criteria, overrides)
    kinds: dict[type, type] = {
        PointDraft: _watching(PointDraft, POINT, recorder),
        Shaft: _watching(Shaft, SHAFT, recorder),
        Bearing: _watching(Bearing, BEARING, recorder),
    }
    context.machine = _WatchedModel(machine, "", recorder.note)  # type: ignore[assignment]
    derived: Derived = {}
    context.__class__ = _watching(QuietContext, CONTEXT, recorder)
    context.__class__.once = _noted_once(recorder, derived)  # type: ignore[assignment, method-assign]
    runs: list[RuleRun] = []
    for phase, rules in rules_by_phase(len(RULES)).items():
        recorder.setpoints_stand = phase > Phase.SETPOINTS
        for rule in rules:
            watched = replace(rule, function=_Watcher(rule, recorder, kinds, runs, phase))
            _run(context, watched)
        if phase is Phase.POINTS:
            _order_points(context)
    context.__class__ = QuietContext
    context.machine = machine
    told: dict[str, Any] = {"bull_gear": machine.bull_gear, "driver": machine.driver}
    told |= {f"pinions[{index}]": pinion for index, pinion in enumerate(machine.pinions)}
    for shaft in context.shafts.values():
        shaft.__class__ = Shaft
        shaft.told = told[shaft.path]
    for bearing in context.bearings.values():
        bearing.__class__ = Bearing
    for run in runs:
        for item in run.items:
            if isinstance(item, PointDraft):
                item.__class__ = PointDraft
    return WatchedRun(context, runs, derived)


def _noted_once(recorder: _Recorder, derived: Derived) -> Callable[[Context, Derivation], Any]:
    """Return a `Context.once` that notes what each derivation looks at, for itself and for who asks."""

    def once(context: Context, derive: Derivation) -> Any:
        asked, own = recorder.reads, set[str]()
        recorder.reads = own
        try:
            value = derive(context)
        finally:
            recorder.reads = asked
            if asked is not None:
                asked |= own
        derived[derive] = frozenset(own), value
        return value

    return once


class _Watcher:
    """Stands in for a rule's function: runs it, records, and hands its items on."""

    def __init__(
        self,
        rule: Rule,
        recorder: _Recorder,
        kinds: dict[type, type],
        runs: list[RuleRun],
        phase: Phase,
    ) -> None:
        self._rule, self._recorder, self._kinds, self._runs, self._phase = rule, recorder, kinds, runs, phase

    def __call__(self, context: Context) -> Iterator[Any]:
        self._watch_earlier()
        early = self._phase <= Phase.POINTS
        run = RuleRun(
            place=len(self._runs),
            rule=self._rule,
            reads=frozenset(),
            items=[],
            created={},
            points_before=dict(context.points) if early else {},
            groups_before={name: list(points) for name, points in context.groups.items()} if early else {},
            lengths_before={name: len(getattr(context, name)) for name in COLLECTIONS},
        )
        self._runs.append(run)
        reads: set[str] = set()
        self._recorder.reads = reads
        try:
            items = list(self._rule.function(context))
        finally:
            self._recorder.reads = None
            run.reads = frozenset(reads)
        run.items = items
        for item in items:
            if type(item) is PointDraft:
                run.created[item.key] = {name: getattr(item, name) for name in PointDraft.__struct_fields__}
        return iter(items)

    def _watch_earlier(self) -> None:
        """Watch what the rule before made; the engine, which goes by type, has accepted it by now."""
        for item in self._runs[-1].items if self._runs else ():
            watching = self._kinds.get(type(item))
            if watching is not None:
                item.__class__ = watching
