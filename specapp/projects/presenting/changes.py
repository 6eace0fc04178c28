"""What would change: two proposals compared, as the panel beside the description shows it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString

from specapp.documents.wording import NONE, plain, prose, words
from specapp.domain.display import unit_symbols
from specapp.domain.proposal import Measure, Point, Proposal, Range, Transducer
from specapp.projects.describing.fields import fact_words
from specapp.projects.presenting.figures import Display, figure, measured, span
from specapp.projects.presenting.reader import state
from specapp.projects.presenting.tables import Column, Folded, Lines, Row, Table, joined, small
from specapp.rulebook.check_names import candidate_words, check_words
from specapp.rulebook.comparison import (
    Change,
    CheckState,
    ComparedSide,
    Comparison,
    SetpointState,
    compare_sides,
)

_MOST_ROWS = 60
_OTHER_SUBJECTS = (
    ("architecture", "Boxes, racks and relays"),
    ("cause_and_effect", "Cause and effect"),
    ("frequencies", "Frequencies"),
    ("process_protection", "Process protection"),
    ("safety_functions", "Trip reliability"),
    ("responsibility", "Who supplies what"),
    ("shafts", "Shafts"),
    ("governing", "Governing documents"),
    ("conflicts", "Conflicts of rules"),
)
_OVERRIDE_STATES = {
    "in force": "in force",
    "confirm again": "to be confirmed again",
    "item gone": "its item is gone",
}


@dataclass(frozen=True, slots=True)
class WhatIf:
    """The panel: what was changed, a line of counts, and the changes by subject."""

    causes: tuple[str, ...]
    summary: str
    blocks: Sequence[Any]
    others: tuple[tuple[str, int], ...]

    def html(self) -> SafeString:
        return SafeString("".join(block.html() for block in self.blocks))


def what_if(before: Proposal, after: Proposal, display: Display) -> WhatIf:
    """Return everything that would change."""
    return sides_what_if(ComparedSide(before), ComparedSide(after), display)


def sides_what_if(before: ComparedSide, after: ComparedSide, display: Display) -> WhatIf:
    """Return everything that would change between two sides made ready for it."""
    found = compare_sides(before, after, says_why=False)
    retagged = 0 if before.pinion_causes is None else _retagged(found)
    points = {**before.groups, **after.groups}
    shown = _Shown(display, points, _with_pinions_gone(before.proposal.machine, after.proposal.machine))
    blocks = [
        _table("Points", "Point", found.points, shown.title),
        _table("Setpoints", "Setpoint", found.setpoints, shown.setpoint),
        _table("Checks that turn", "Check", found.checks, shown.check, field_words=check_words),
        _table("Ranges", "Point", found.ranges, shown.range),
        _table("Transducers", "Point", found.transducers, shown.transducer),
        _table("Tags, chains and places", "Point", found.point_fields, shown.other),
        _table("Assumptions", "Fact", found.assumptions, shown.assumption, shown.fact),
        _table("Open points", "Open point", found.open_points, shown.open_point),
        _table("Bill", "Item", found.bill, shown.bill, shown.item),
        _table("Overrides", "Set by hand", found.overrides, shown.override),
    ]
    counts = [(title, len(getattr(found, name))) for name, title in _OTHER_SUBJECTS]
    return WhatIf(
        causes=tuple(prose(cause.text) for cause in found.causes),
        summary=_summary(found, retagged),
        blocks=[block for block in blocks if block is not None],
        others=tuple((title, count) for title, count in counts if count),
    )


def _with_pinions_gone(before: Mapping[str, Any], after: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the later description with the further pinions of the earlier one, for their names."""
    pinions = after.get("pinions", ())
    return {**after, "pinions": [*pinions, *before.get("pinions", ())[len(pinions) :]]}


def _retagged(found: Comparison) -> int:
    """Return how many points get another tag, as those of a pinion that is called otherwise."""
    return sum(change.field == "tag" for change in found.point_fields)


def _summary(found: Comparison, retagged: int) -> str:
    """Return in one line what appears, goes and turns."""
    parts = [
        _counted(sum(change.was is None for change in found.points), "point", "more"),
        _counted(sum(change.now is None for change in found.points), "point", "fewer"),
        _counted(retagged, "point", "with another tag"),
        _counted(len(found.setpoints), "setpoint", "changed"),
        _counted(len(found.checks), "check", "turned"),
        _counted(len(found.bill), "bill line", "changed"),
        _counted(sum(change.now is None for change in found.assumptions), "assumption", "used up"),
        _counted(sum(change.now is None for change in found.open_points), "open point", "closed"),
        _counted(sum(change.was is None for change in found.open_points), "open point", "opened"),
    ]
    again = sum(change.now is not None and change.now["state"] != "in force" for change in found.overrides)
    parts.append(_counted(again, "override", "to be confirmed again"))
    told = [part for part in parts if part]
    if told:
        return f"{', '.join(told)}."
    return "Other things only." if found.changes else "Nothing in the proposal."


def _counted(count: int, word: str, what: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'} {what}" if count else ""


def _table(
    title: str,
    head: str,
    changes: Sequence[Change],
    text: Callable[[Change, Any], str],
    name: Callable[[str], str] = str,
    field_words: Callable[[str], str] = words,
) -> Folded | None:
    """Return was and is of each change; changes alike in both share a row."""
    if not changes:
        return None
    alike: dict[tuple[str, str, str], list[str]] = {}
    for change in changes:
        field = field_words(change.field) if change.field else ""
        was = NONE if change.was is None else text(change, change.was)
        now = NONE if change.now is None else text(change, change.now)
        alike.setdefault((field, was, now), []).append(name(change.item))
    rows = [
        Row((joined([*_first(items), small(field)]), was, now))
        for (field, was, now), items in list(alike.items())[:_MOST_ROWS]
    ]
    columns = (Column(head, "subjects"), Column("Was"), Column("Would be"))
    table = Table(f"{title}, was and would be", columns, rows)
    left = len(alike) - len(rows)
    more = [Lines([f"{left} more of this kind."], style="soft")] if left > 0 else []
    return Folded(title, len(changes), [table, *more], is_open=len(rows) <= 12)


def _first(items: Sequence[str]) -> list[str]:
    return [*items[:6], f"and {len(items) - 6} more"] if len(items) > 6 else list(items)


@dataclass(frozen=True, slots=True)
class _Shown:
    """How each kind of value is written."""

    display: Display
    groups: Mapping[str, Point]
    machine: Mapping[str, Any]

    def title(self, change: Change, value: str) -> str:
        return str(value)

    def setpoint(self, change: Change, value: SetpointState) -> str:
        point = None if " " in change.field else self.groups.get(change.item)
        axial = point is not None and point.quantity == "axial_position"
        detection = "" if point is None or point.range is None else point.range.detection
        text = figure(value.value, value.unit, self.display, detection=detection, axial=axial)
        if value.low is not None and value.value is not None and value.low == -value.value:
            text = f"±{text}"
        told = {
            "voting": value.voting or "",
            "delay_s": "" if value.delay_s is None else f"after {value.delay_s:g} s",
            "governed_by": f"by {candidate_words(value.governed_by)}",
            "status": value.status,
        }
        both = change.was is not None and change.now is not None
        differing = [
            part
            for name, part in told.items()
            if not both or getattr(change.was, name) != getattr(change.now, name)
        ]
        return joined([text, *(small(part) for part in differing if part)])

    def check(self, change: Change, value: CheckState) -> str:
        told = measured(value.measured, self.display)
        return joined([state(value.result), small("" if told == NONE else told)])

    def range(self, change: Change, value: Range) -> str:
        return span(value, self.display, axial="/axial/" in change.item)

    def transducer(self, change: Change, value: Transducer) -> str:
        sizes = [measured(size, None) for size in (value.tip, value.system_length) if size is not None]
        return ", ".join([words(value.type), *sizes, *([value.band] if value.band else [])])

    def other(self, change: Change, value: Any) -> str:
        return measured(value, None) if isinstance(value, Measure) else plain(value)

    def assumption(self, change: Change, value: Any) -> str:
        return f"taken as {plain(value)}"

    def fact(self, path: str) -> str:
        return fact_words(path, self.machine)

    def open_point(self, change: Change, value: Any) -> str:
        return prose(str(value["text"]))

    def bill(self, change: Change, value: Any) -> str:
        spares = f" and {value['spares']} spare" if value["spares"] else ""
        return f"{value['quantity']}{spares}"

    def item(self, key: str) -> str:
        return words(key)

    def override(self, change: Change, value: Any) -> str:
        """Return what is set and how it stands, with what has moved under it."""
        told = "" if isinstance(value["value"], bool) else plain(value["value"])
        return joined([told, small(_OVERRIDE_STATES[value["state"]]), small(unit_symbols(value["note"]))])
