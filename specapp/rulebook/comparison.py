"""Two proposals beside each other: what differs, what was, what is, and why.

The same comparison serves a changed description ("what would change"), two revisions (was, is, why) and
two machines. The reasons are those that the rules recorded: a difference is put down to those changed
inputs, criteria and overrides that the reasons of the item read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property, partial
from operator import attrgetter
from typing import Any

from specapp.domain.proposal import Check, Measure, Point, Proposal, Record, Setpoint
from specapp.rulebook.causes import Attribution, Cause, causes_between
from specapp.rulebook.compared_items import KeyedRows, compared_architecture
from specapp.rulebook.followed_pinions import PinionsWere, followed

Rows = Mapping[str, Any]
Why = Callable[[str], tuple[Cause, ...]]


class Change(Record, frozen=True):
    """One item that differs: its key, which of its fields, what was and what is.

    ``was`` None is: not there before; ``now`` None: gone. ``why`` names the differences of the two
    descriptions, criteria, overrides or rulebooks that lead to it; empty where none could be named, or was
    asked for.
    """

    item: str
    field: str
    was: Any
    now: Any
    why: tuple[Cause, ...]


class SetpointState(Record, frozen=True):
    """A setpoint as it is compared: values in ``unit``, delay in s; ``low`` is that of a two-sided one."""

    value: float | None
    low: float | None
    unit: str
    governed_by: str
    status: str
    voting: str | None
    delay_s: float | None


class CheckState(Record, frozen=True):
    """A check as it is compared."""

    result: str
    measured: Measure | None
    limit: Measure | None
    text: str


class Comparison(Record, frozen=True):
    """Everything that differs between two proposals, by subject; empty where they say the same."""

    causes: tuple[Cause, ...]
    points: tuple[Change, ...]
    point_fields: tuple[Change, ...]
    setpoints: tuple[Change, ...]
    ranges: tuple[Change, ...]
    transducers: tuple[Change, ...]
    checks: tuple[Change, ...]
    bill: tuple[Change, ...]
    assumptions: tuple[Change, ...]
    open_points: tuple[Change, ...]
    architecture: tuple[Change, ...]
    shafts: tuple[Change, ...]
    frequencies: tuple[Change, ...]
    cause_and_effect: tuple[Change, ...]
    process_protection: tuple[Change, ...]
    safety_functions: tuple[Change, ...]
    responsibility: tuple[Change, ...]
    governing: tuple[Change, ...]
    overrides: tuple[Change, ...]
    conflicts: tuple[Change, ...]

    @property
    def changes(self) -> tuple[Change, ...]:
        """Return every change of every subject, in the order in which they are shown."""
        return tuple(
            change for name in self.__struct_fields__ if name != "causes" for change in getattr(self, name)
        )

    @property
    def is_empty(self) -> bool:
        """Tell whether the two proposals say the same."""
        return not self.causes and not self.changes


def compare(before: Proposal, after: Proposal) -> Comparison:
    """Return what differs between two proposals and why."""
    return compare_sides(ComparedSide(before), ComparedSide(after))


class ComparedSide:
    """A proposal with its rows by key, so that many can be compared with the same one.

    With ``pinions`` it is told as its pinions stand and are called in those it is compared with.
    """

    def __init__(self, proposal: Proposal, pinions: PinionsWere | None = None) -> None:
        self.pinion_causes = None if pinions is None else pinions.causes()
        proposal = proposal if pinions is None else followed(proposal, pinions)
        self.proposal = proposal
        points = self.points = {point.key: point for point in proposal.points}
        self.groups = {point.voting_group: point for point in reversed(proposal.points)}
        self.titles = {f"{key}\n": point.title for key, point in points.items()}
        self.setpoints = _setpoints(proposal.points)
        self._rows: dict[str, KeyedRows] = {}

    @cached_property
    def checks(self) -> Mapping[str, Check]:
        return {f"{check.subject}\n{check.check}": check for check in self.proposal.checks}

    def rows(self, name: str) -> KeyedRows:
        """Return the rows of a list of the proposal by key; of most lists they are never asked for."""
        if name not in self._rows:
            self._rows[name] = KeyedRows(self.proposal, name)
        return self._rows[name]


def compare_sides(was: ComparedSide, now: ComparedSide, *, says_why: bool = True) -> Comparison:
    """Return what differs between two sides and, unless told not to, why each item does."""
    return _Comparing(was, now, says_why).comparison()


class _Comparing:
    def __init__(self, was: ComparedSide, now: ComparedSide, says_why: bool) -> None:
        self._was, self._now, self._says_why = was, now, says_why
        self._causes = causes_between(was.proposal, now.proposal, was.pinion_causes)
        self._attribution = Attribution(was.proposal, now.proposal, self._causes)

    def comparison(self) -> Comparison:
        was, now, attribution = self._was, self._now, self._attribution
        both = [(was.points[key], point) for key, point in now.points.items() if key in was.points]
        # Of most points nothing differs; only of the others is it asked what.
        both = [pair for pair in both if pair[0] != pair[1]]
        fields = [pair for pair in both if _own(pair[0]) != _own(pair[1])]
        return Comparison(
            causes=self._causes,
            points=self._of_points(was.titles, now.titles),
            point_fields=self._of_points(_fields(a for a, _ in fields), _fields(b for _, b in fields)),
            setpoints=self._changes(was.setpoints, now.setpoints, attribution.of_group),
            ranges=self._of_points(_ranges(a for a, _ in both), _ranges(b for _, b in both)),
            transducers=self._of_points(_transducers(a for a, _ in both), _transducers(b for _, b in both)),
            checks=self._checks(),
            bill=self._rows("bill_of_materials", partial(attribution.of_count, "bill_of_materials")),
            assumptions=self._rows("assumptions"),
            open_points=self._rows("open_points"),
            architecture=self._architecture(),
            shafts=self._rows("shafts", attribution.of_shaft),
            frequencies=self._rows("frequencies"),
            cause_and_effect=self._rows("cause_and_effect"),
            process_protection=self._rows("process_protection"),
            safety_functions=self._safety_functions(),
            responsibility=self._rows("responsibility"),
            governing=self._rows("governing"),
            overrides=self._rows("overrides"),
            conflicts=self._rows("conflicts"),
        )

    def _changes(self, was: Rows, now: Rows, why: Why) -> tuple[Change, ...]:
        """Return the rows that differ; a key is the item and the field, apart by a line break."""
        if was == now:
            return ()
        return tuple(
            self._change(key, was.get(key), now.get(key), why)
            for key in _in_order(was, now)
            if was.get(key) != now.get(key)
        )

    def _change(self, key: str, was: Any, now: Any, why: Why) -> Change:
        item, _, field = key.partition("\n")
        return Change(item, field, was, now, why(item) if self._says_why else ())

    def _of_points(self, was: Rows, now: Rows) -> tuple[Change, ...]:
        return self._changes(was, now, self._attribution.of_point)

    def _rows(self, name: str, why: Why | None = None) -> tuple[Change, ...]:
        if getattr(self._was.proposal, name) == getattr(self._now.proposal, name):
            return ()
        was, now = self._was.rows(name), self._now.rows(name)
        reasons = why or partial(self._attribution.of_row, name)
        return tuple(self._change(key, was.get(key), now.get(key), reasons) for key in now.differing(was))

    def _architecture(self) -> tuple[Change, ...]:
        was, now = self._was.proposal, self._now.proposal
        if was.architecture == now.architecture:
            return ()
        why = self._attribution.anything
        return self._changes(compared_architecture(was), compared_architecture(now), why)

    def _safety_functions(self) -> tuple[Change, ...]:
        """Return the safety functions that differ; where pinions moved, not by places in a rack alone."""
        found = self._rows("safety_functions")
        if self._was.pinion_causes is None:
            return found
        return tuple(change for change in found if _without_places(change.was) != _without_places(change.now))

    def _checks(self) -> tuple[Change, ...]:
        """Return the checks that turn, appear or go; a check that only measures otherwise does not turn."""
        if self._was.proposal.checks == self._now.proposal.checks:
            return ()
        was, now = self._was.checks, self._now.checks
        return tuple(
            Change(
                item,
                field,
                _check_state(was.get(key)),
                _check_state(now.get(key)),
                self._attribution.of_check(item, field) if self._says_why else (),
            )
            for key in _in_order(was, now)
            if _result(was.get(key)) != _result(now.get(key))
            for item, _, field in (key.partition("\n"),)
        )


def _in_order(was: Rows, now: Rows) -> Iterator[str]:
    """Yield every key: those of now in their order, then those that have gone."""
    yield from now
    yield from (key for key in was if key not in now)


def _without_places(function: Rows | None) -> Rows | None:
    """Return a safety function with the number of the rack places it shares, which are counted by order."""
    if function is None or not function.get("findings"):
        return function
    findings = function["findings"]
    return {**function, "findings": {**findings, "shared": len(findings.get("shared", ()))}}


def _result(check: Check | None) -> str | None:
    return None if check is None else check.result


_OWN_FIELDS = attrgetter("title", "tag", "tags", "chain", "stage", "angle", "multiplier", "supplied_by")
_OWN_PLACE = attrgetter(
    "equipment_protection_level",
    "protection",
    "required_marking",
    "location",
    "loaded_direction",
    "junction_box",
    "frequency_group",
)


def _own(point: Point) -> tuple[Any, Any]:
    """Return what `_fields` tells of a point, as it stands."""
    return _OWN_FIELDS(point), _OWN_PLACE(point.installation)


def _fields(points: Iterable[Point]) -> Rows:
    """Return what a point is and where it stands, apart from its signal and setpoints."""
    rows: dict[str, Any] = {}
    for point in points:
        place = point.installation
        values = {
            "title": point.title,
            "tag": point.tag,
            "tags": dict(point.tags) or None,
            "chain": point.chain,
            "stage": point.stage,
            "angle": point.angle,
            "multiplier": None if point.multiplier is None else point.multiplier.factor,
            "equipment_protection_level": place.equipment_protection_level,
            "protection": place.protection,
            "required_marking": place.required_marking,
            "location": place.location or None,
            "loaded_direction": place.loaded_direction,
            "junction_box": place.junction_box,
            "frequency_group": place.frequency_group,
            "supplied_by": dict(point.supplied_by) or None,
        }
        rows |= {f"{point.key}\n{name}": value for name, value in values.items() if value is not None}
    return rows


def _ranges(points: Iterable[Point]) -> Rows:
    return {f"{point.key}\n": point.range for point in points if point.range is not None}


def _transducers(points: Iterable[Point]) -> Rows:
    return {f"{point.key}\n": point.transducer for point in points}


def _setpoints(points: Iterable[Point]) -> Rows:
    """Return alarm and trip of every voting group, and of the further readings of its points."""
    rows: dict[str, Any] = {}
    for point in points:
        levels = {"alarm": point.setpoints.alarm, "trip": point.setpoints.trip}
        for reading in point.further_readings:
            levels[f"{reading.quantity} alarm"] = reading.setpoints.alarm
            levels[f"{reading.quantity} trip"] = reading.setpoints.trip
        for level, setpoint in levels.items():
            if setpoint is not None and (key := f"{point.voting_group}\n{level}") not in rows:
                rows[key] = _state(setpoint)
    return rows


def _state(setpoint: Setpoint) -> SetpointState:
    return SetpointState(
        setpoint.value,
        setpoint.low,
        setpoint.unit,
        setpoint.governed_by,
        setpoint.status,
        setpoint.voting,
        None if setpoint.delay is None else setpoint.delay.value,
    )


def _check_state(check: Check | None) -> CheckState | None:
    return None if check is None else CheckState(check.result, check.measured, check.limit, check.text)
