"""A watched run made ready for replays: every point as any rule found it, and who gave each value."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import fields
from itertools import islice, pairwise
from typing import Any, NoReturn, TypeVar

from specapp.criteria.loader import CriteriaSet
from specapp.domain.machine import MachineDescription
from specapp.domain.overrides import Override
from specapp.rulebook.context import Context, PointDraft
from specapp.rulebook.kinds import kinds_of_context
from specapp.rulebook.rule_answers import COLLECTION_OF, DRAFT_FIELDS, HAS_KIND, Answer, Place, answer_types
from specapp.rulebook.watched_run import COLLECTIONS, CONTEXT, Derived, QuietContext, RuleRun, watched_run

T = TypeVar("T")


class Structure(Exception):
    """What is there at all would change, not only what it is like."""


class Looked(Exception):
    """A rule looks at a list of results that it did not look at in the watched run."""

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name


class _Unread:
    """Stands for a list of results that a rule is not known to look at, so that none is put together."""

    __slots__ = ("_name",)

    def __init__(self, name: str) -> None:
        self._name = name

    def _refuse(self, *_: Any) -> NoReturn:
        raise Looked(self._name)

    __iter__ = __len__ = __getitem__ = __contains__ = __bool__ = __getattr__ = _refuse


UNREAD = {name: _Unread(name) for name in COLLECTIONS}


class ReplayContext(QuietContext):
    """The context of replays: a derivation of the watched run serves again unless what it looked at changed.

    ``derived`` as in `WatchedRun`, ``dirty`` the names of everything that this replay has changed so far.
    """

    __slots__ = ("derived", "dirty")

    derived: Derived
    dirty: set[str]

    def once(self, derive: Callable[[Context], T]) -> T:
        if derive in self.derived:
            looked_at, value = self.derived[derive]
            if looked_at.isdisjoint(self.dirty):
                kept: T = value
                return kept
        return derive(self)


class ReplayGround:
    """The finished run of one description, and the means to put it back to where any rule stood.

    One thread at a time: replays move its points back and forth.
    """

    def __init__(
        self, machine: MachineDescription, criteria: CriteriaSet, overrides: Sequence[Override] = ()
    ) -> None:
        run = watched_run(machine, criteria, overrides)
        self.runs = run.rules
        self.final = run.context
        self.context = _copy_of(run.context)
        self.context.derived, self.context.dirty = run.derived, set()
        self.kinds = kinds_of_context(run.context)
        self.moves_points = any(item.field in ("added", "struck") for item in overrides)
        self.collections = {name: getattr(run.context, name) for name in COLLECTIONS}
        self.answered = [Answer(each.items) for each in self.runs]
        self.givers = self._all_givers()
        self.writers = self._all_writers()
        self.silent = self._unread_rules()
        self.open_points = self._holders()
        self._views: dict[int, dict[str, Any]] = {}
        for name in COLLECTIONS:
            setattr(self.context, name, UNREAD[name])
        self._steps = self._all_steps()
        self._position = len(self.runs)

    def _all_givers(self) -> dict[str, list[int]]:
        """Return, for every list of results, which rules gave any of it, in order."""
        givers: dict[str, list[int]] = {}
        for run, answer in zip(self.runs, self.answered, strict=True):
            for name in answer.others:
                givers.setdefault(name, []).append(run.place)
        return givers

    def _all_writers(self) -> dict[Place, list[tuple[int, Any]]]:
        """Return, for every field of every point, which rules gave it a value, in order; creation first."""
        writers: dict[Place, list[tuple[int, Any]]] = {}
        for run, answer in zip(self.runs, self.answered, strict=True):
            for key, values in run.created.items():
                for field in DRAFT_FIELDS:
                    writers.setdefault((key, field), [(run.place, values[field])])
            for place, value in answer.writes.items():
                writers.setdefault(place, []).append((run.place, value))
        return writers

    def _unread_rules(self) -> frozenset[int]:
        """Return the rules whose answers have no kind and reach no rule whose answers have one."""
        types = [answer_types(run.rule) for run in self.runs]
        needed = {place for place, kinds in enumerate(types) if not kinds.isdisjoint(HAS_KIND)}
        while True:
            read = {name for place in needed for name in self.runs[place].reads if name.startswith(CONTEXT)}
            more = {
                place
                for place, kinds in enumerate(types)
                if place not in needed
                and any(f"{CONTEXT}{COLLECTION_OF[kind]}" in read for kind in kinds if kind in COLLECTION_OF)
            }
            if not more:
                return frozenset(range(len(types))) - needed
            needed |= more

    def _holders(self) -> dict[str, set[int]]:
        """Return which rules ask each open point."""
        holders: dict[str, set[int]] = {}
        for run, answer in zip(self.runs, self.answered, strict=True):
            for item in answer.others.get("open_points", ()):
                holders.setdefault(item.key, set()).add(run.place)
        return holders

    def _all_steps(self) -> list[list[tuple[PointDraft, str, Any, Any]]]:
        """Return, by rule, which fields of points it changed from what to what."""
        steps: list[list[tuple[PointDraft, str, Any, Any]]] = [[] for _ in self.runs]
        for (key, field), writers in self.writers.items():
            point = self.final.points.get(key)
            if point is not None:
                for (_, before), (place, after) in pairwise(writers):
                    steps[place].append((point, field, before, after))
        return steps

    def stand_before(self, place: int) -> None:
        """Put every point into the state in which a rule found it."""
        while self._position > place:
            self._position -= 1
            for point, field, before, _ in self._steps[self._position]:
                setattr(point, field, before)
        while self._position < place:
            for point, field, _, after in self._steps[self._position]:
                setattr(point, field, after)
            self._position += 1

    def also_looks(self, run: RuleRun, name: str) -> None:
        view = self.view(run.place)
        assert name not in view, f"{name} was given already"
        view[name] = _first(self.collections[name], run.lengths_before[name])

    def value_in_base(self, place: Place) -> Any:
        return self.writers[place][-1][1]

    def view(self, place: int) -> dict[str, Any]:
        """Return the lists of results that a rule looks at, as they stood when it ran."""
        if place not in self._views:
            run = self.runs[place]
            self._views[place] = {
                name: _first(collection, run.lengths_before[name])
                for name, collection in self.collections.items()
                if f"{CONTEXT}{name}" in run.reads
            }
        return self._views[place]


def _copy_of(context: Context) -> ReplayContext:
    """Return a context that shares everything with another and may be given other lists and machines."""
    return ReplayContext(**{field.name: getattr(context, field.name) for field in fields(Context)})


def _first(collection: Any, count: int) -> Any:
    if len(collection) == count:
        return collection
    if isinstance(collection, dict):
        return dict(islice(collection.items(), count))
    return collection[:count]
