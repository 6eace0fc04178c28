"""The proposal in five lines: what is proposed, fails, needs you, to find out next, and where it stands."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Any

from specapp.domain.machine import MachineDescription
from specapp.domain.proposal import AppliedOverride, Assumption, Point, Verdict
from specapp.rulebook.check_names import check_words
from specapp.rulebook.context import Context
from specapp.rulebook.fact_names import fact_words

_WORDS = {
    "radial_vibration": "radial",
    "axial_position": "axial",
    "phase_reference": "phase reference",
    "casing_vibration": "casing",
    "bearing_temperature": "bearing temperature",
    "winding_temperature": "winding temperature",
    "overspeed": "overspeed",
    "speed": "speed",
}
_ASKED = ("maker", "owner", "purchaser", "supplier")
_NAMED_AT_MOST = 3
_ROOTS = frozenset(MachineDescription.model_fields)
_PART = re.compile(r"^([a-z_]+)(\[\d+\])?")


def verdict(
    context: Context,
    points: tuple[Point, ...],
    assumptions: tuple[Assumption, ...],
    criteria: tuple[Mapping[str, Any], ...],
    overrides: tuple[AppliedOverride, ...] = (),
) -> Verdict:
    """Return the five lines, each one sentence or two, in the order a reader wants them."""
    to_confirm = [criterion["status"] for criterion in criteria].count("from memory")
    held, statuses = _statuses(points)
    return Verdict(
        proposed=_proposed(context, points),
        fails=_fails(context, held),
        needs_you=_needs_you(context, overrides),
        next_fact=_next_fact(context, assumptions),
        standing=_standing(statuses, to_confirm),
        values_to_confirm=to_confirm,
    )


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _listed(names: Iterable[str]) -> str:
    """Return the first few names and how many more there are."""
    named = list(dict.fromkeys(names))
    shown = ", ".join(named[:_NAMED_AT_MOST])
    more = len(named) - _NAMED_AT_MOST
    return f"{shown} and {more} more" if more > 0 else shown


def _proposed(context: Context, points: tuple[Point, ...]) -> str:
    kinds = Counter([point.quantity for point in points])
    parts = ", ".join(f"{kinds[quantity]} {words}" for quantity, words in _WORDS.items() if kinds[quantity])
    if context.racks:
        chain = f"monitor chain, {_counted(len(context.racks), 'rack')}"
    elif any(point.chain == "transmitter" for point in points):
        chain = "transmitter chain into the control system"
    else:
        chain = "wired to the control system"
    return f"{_counted(len(points), 'point')} on {_counted(len(context.shafts), 'shaft')}: {parts}; {chain}."


def _fails(context: Context, held: list[str]) -> str:
    lines: list[str] = []
    failing: dict[str, list[str]] = {}
    for check in context.checks:
        if check.result == "fail":
            failing.setdefault(check.check, []).append(check.subject)
    if failing:
        named = "; ".join(
            f"{check_words(check)} ({_listed(subjects)})" for check, subjects in failing.items()
        )
        lines.append(f"{named[0].upper()}{named[1:]}.")
    if held:
        lines.append(f"Held: {_listed(held)}.")
    if context.conflicts:
        lines.append(f"{_counted(len(context.conflicts), 'conflict')} between rules.")
    if not all(line.holds for line in context.reconciliation):
        wrong = [line.statement for line in context.reconciliation if not line.holds]
        lines.append(f"Does not reconcile: {_listed(wrong)}.")
    return " ".join(lines) or "Nothing fails."


def overrides_waiting(overrides: Iterable[AppliedOverride]) -> str:
    """Return how many overrides wait for somebody, in words; empty where all are in force."""
    states = Counter(each.state for each in overrides)
    parts = []
    if again := states["confirm again"]:
        parts.append(f"{_counted(again, 'override')} to be confirmed again")
    if gone := states["item gone"]:
        parts.append(f"{_counted(gone, 'override')} without an item")
    return ", ".join(parts)


def _needs_you(context: Context, overrides: tuple[AppliedOverride, ...]) -> str:
    asked = Counter(point.ask for point in context.open_points.values())
    parts = [f"{asked[who]} for the {who}" for who in _ASKED if asked[who]]
    cautions = [check.result for check in context.checks].count("caution")
    count = sum(asked.values())
    text = f"{_counted(count, 'open point')}: {', '.join(parts)}" if count else "No open points"
    told = [text, _counted(cautions, "caution") if cautions else "", overrides_waiting(overrides)]
    return f"{'; '.join(part for part in told if part)}."


def _statuses(points: tuple[Point, ...]) -> tuple[list[str], Counter[str]]:
    """Return the voting group of every point that is held, and how many setpoints have each status."""
    held: list[str] = []
    statuses: list[str] = []
    for point in points:
        alarm, trip = point.setpoints.alarm, point.setpoints.trip
        if alarm is not None:
            statuses.append(alarm.status)
        if trip is not None:
            statuses.append(trip.status)
        if (alarm is not None and alarm.status == "hold") or (trip is not None and trip.status == "hold"):
            held.append(point.voting_group)
    return held, Counter(statuses)


def _missing_facts(
    context: Context, assumptions: tuple[Assumption, ...], candidates: set[tuple[str, str]]
) -> Iterator[str]:
    """Yield the path of every missing fact as often as something rests on it."""
    for assumption in assumptions:
        yield assumption.field
    results = context.checks
    yield from [x.needs for x in results if x.needs is not None and x.result == "not_evaluated"]
    yield from [open_point.needs for open_point in context.open_points.values()]
    yield from [path for path, _ in candidates]


def _missing_candidates(context: Context) -> set[tuple[str, str]]:
    """Return the missing fact and the setpoint of each candidate not evaluated, once a group."""
    return {
        (candidate.needs, f"{group} {level}")
        for group, points in context.groups.items()
        for level, setpoint in (("alarm", points[0].alarm), ("trip", points[0].trip))
        if setpoint is not None
        for candidate in setpoint.candidates
        if candidate.needs is not None
    }


def _next_fact(context: Context, assumptions: tuple[Assumption, ...]) -> str:
    candidates = _missing_candidates(context)
    missing = Counter(_missing_facts(context, assumptions, candidates))
    counts = {path: count for path, count in missing.items() if _is_input(path)}
    if not counts:
        return "No missing fact would settle anything more."
    weight = {assumption.field: assumption.weight for assumption in assumptions}
    path = min(counts, key=lambda each: (-counts[each], -weight.get(each, 0), each))
    settled = _counted(counts[path], "assumption, check or open point")
    if counts[path] > 1:
        settled = f"{counts[path]} assumptions, checks and open points"
    lowers = any(needs == path and place.endswith(" trip") for needs, place in candidates)
    may = ", and may lower a trip" if lowers else ""
    name = fact_words(path, [pinion.name or f"P{n}" for n, pinion in enumerate(context.machine.pinions, 1)])
    return f"{name[0].upper()}{name[1:]} would settle {settled}{may}."


@lru_cache(maxsize=1024)
def _is_input(path: str) -> bool:
    found = _PART.match(path)
    return found is not None and found[1] in _ROOTS


def _standing(statuses: Counter[str], to_confirm: int) -> str:
    parts = [f"{_counted(to_confirm, 'value')} to be confirmed (from memory)"] if to_confirm else []
    if statuses["hold"]:
        parts.append(f"{_counted(statuses['hold'], 'setpoint')} held")
    if statuses["placeholder"]:
        parts.append(_counted(statuses["placeholder"], "placeholder"))
    return f"Working, not issued. {', '.join(parts)}." if parts else "Working, not issued."
