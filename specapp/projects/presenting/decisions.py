"""Overrides and other people's setpoint values as they are shown beside what the rules say."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from operator import attrgetter
from typing import Any

from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.documents.wording import NONE, words
from specapp.domain.display import unit_symbols
from specapp.domain.proposal import AppliedOverride, Point, Proposal
from specapp.projects.deciding.items import LEVELS, Item, item_of
from specapp.projects.models import Override, SetpointValue
from specapp.projects.presenting.figures import Display, figure

_SHOWN = attrgetter("item", "level", "state", "value", "low", "unit", "document", "revision")
_STATES_FIRST = {"confirm again": 0, "item gone": 1, "in force": 2}


@dataclass(frozen=True, slots=True)
class Decisions:
    """What people have set on a machine, ready to be looked up while its tables are written.

    ``applied`` follows from the proposal; ``shown`` is what is shown of ``values``, by which two are equal.
    """

    applied: Mapping[tuple[str, str], AppliedOverride] = field(default_factory=dict, compare=False)
    values: Mapping[tuple[str, str], tuple[SetpointValue, ...]] = field(default_factory=dict, compare=False)
    shown: tuple[tuple[Any, ...], ...] = ()

    def beside(self, item: str, name: str, unit: str = "", display: Display = None, **how: Any) -> str:
        """Return the rule's own value in small beside one that was set, empty where none was."""
        found = self.applied.get((item, name))
        if found is None:
            return ""
        shown = _plain(name, found.rule_value, unit, display, how)
        told = f"{found.author}, {found.at[:10]}: {found.reason}"
        again = " to be confirmed again" if found.state == "confirm again" else ""
        rule = f"rule {shown}" if found.rule_value is not None else "no rule"
        return SafeString(
            f'<small class="set-here" title="{escape(told)}">set; {escape(rule)}{again}</small>'
        )

    def given(self, item: str, level: str, display: Display, **how: Any) -> list[SafeString]:
        """Return the values that documents give for a setpoint, the latest of each state."""
        return [
            SafeString(
                f"<small>{escape(value.get_state_display())} {escape(value_text(value, display, **how))}, "
                f"{escape(value.document)} {escape(value.revision)}</small>"
            )
            for value in self.values.get((item, level), ())
        ]


NONE_DECIDED = Decisions()


def decisions_of(proposal: Proposal, values: Iterable[SetpointValue]) -> Decisions:
    """Return the decisions on a proposal; of several values of one state the last one counts."""
    applied = {(each.item, each.field): each for each in proposal.overrides}
    latest: dict[tuple[str, str], dict[str, SetpointValue]] = {}
    for value in values:
        latest.setdefault((value.item, value.level), {})[value.state] = value
    last = {place: tuple(each.values()) for place, each in latest.items()}
    return Decisions(applied, last, tuple(_SHOWN(value) for each in last.values() for value in each))


def value_text(value: SetpointValue, display: Display, *, detection: str = "", axial: bool = False) -> str:
    """Return a given setpoint value in the reader's units, both sides of a two-sided one."""
    high = figure(value.value, value.unit, display, detection=detection, axial=axial)
    if value.low is None:
        return high
    if value.low == -value.value:
        return f"±{high}"
    return f"+{high} / {figure(value.low, value.unit, display, axial=axial)}"


def set_text(item: Item, value: Any, display: Display = None) -> str:
    """Return a value of an item as shown: "41 µm p-p", "45°", "2oo3", "struck"."""
    how = {"detection": item.detection, "axial": item.is_axial}
    return _plain(item.field, value, item.unit, display, how)


def _plain(name: str, value: Any, unit: str, display: Display, how: Mapping[str, Any]) -> str:
    if name == "struck":
        return "struck" if value is True else "proposed"
    if name == "added":
        return "added" if value is True else "not proposed"
    if value is None:
        return NONE
    if name in (*LEVELS, "delay", "angle", "tip"):
        own_unit = {"delay": "s", "angle": "deg", "tip": "mm"}.get(name, unit)
        text = figure(float(value), own_unit, display if name in LEVELS else None, **how)
        return f"±{text}" if how.get("axial") and name in LEVELS else text
    return words(str(value)) if name == "chain" else str(value)


@dataclass(frozen=True, slots=True)
class OverrideLine:
    """One override in a list: what was set, what the rule gives now, and how it stands."""

    row: Override
    key: str
    field: str
    tags: str
    value: str
    rule: str
    was_rule: str
    state: str
    note: str
    point: str

    @property
    def needs_you(self) -> bool:
        return self.state != "in force"


def override_lines(proposal: Proposal, rows: Iterable[Override], display: Display) -> list[OverrideLine]:
    """Return the overrides in force, those that wait for somebody first."""
    applied = {(each.item, each.field): each for each in proposal.overrides}
    lines = [_line(proposal, row, applied.get((row.item, row.field)), display) for row in rows]
    return sorted(lines, key=lambda line: _STATES_FIRST[line.state])


def _line(
    proposal: Proposal, row: Override, applied: AppliedOverride | None, display: Display
) -> OverrideLine:
    item = item_of(proposal, row.item, row.field)
    gone = applied is None or applied.state == "item gone"
    return OverrideLine(
        row=row,
        key=row.item,
        field=row.field,
        tags=item.tags,
        value=set_text(item, row.value, display),
        rule=NONE if gone else set_text(item, applied.rule_value, display),
        was_rule=set_text(item, row.rule_value, display),
        state="item gone" if applied is None else applied.state,
        note="" if applied is None else unit_symbols(applied.note),
        point=item.points[0].key if item.points else "",
    )


def value_lines(
    values: Iterable[SetpointValue], point: Point, display: Display
) -> list[tuple[SetpointValue, str]]:
    """Return the values given for a point's setpoints with their texts, in the order they were written."""
    how = {"axial": point.quantity == "axial_position"}
    detection = point.range.detection if point.range else ""
    return [(value, value_text(value, display, detection=detection, **how)) for value in values]
