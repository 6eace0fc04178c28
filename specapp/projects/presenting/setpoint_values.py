"""Setpoints of a machine with what the rule, the maker and the site say of each."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from specapp.documents.wording import NONE
from specapp.domain.proposal import Point, Proposal
from specapp.projects.deciding.items import LEVELS, Item
from specapp.projects.deciding.setpoint_list import ListedValue
from specapp.projects.models import SetpointState, SetpointValue
from specapp.projects.presenting.decisions import Decisions, value_text
from specapp.projects.presenting.figures import Display, figure, setting


@dataclass(frozen=True, slots=True)
class StateCell:
    """The value of one state, empty where nobody gave one."""

    value: SetpointValue | None
    text: str


@dataclass(frozen=True, slots=True)
class SetpointLine:
    """One setpoint: what is proposed, the rule's own where another was set, the value of each state."""

    item: str
    level: str
    tags: str
    point: str
    proposed: str
    rule: str
    states: tuple[StateCell, ...]

    @property
    def given(self) -> bool:
        return any(cell.value for cell in self.states)


def groups_of(proposal: Proposal) -> dict[str, list[Point]]:
    """Return the points of each voting group that has an alarm or a trip."""
    found: dict[str, list[Point]] = {}
    for point in proposal.points:
        if point.setpoints.alarm is not None or point.setpoints.trip is not None:
            found.setdefault(point.voting_group, []).append(point)
    return found


def setpoint_lines(proposal: Proposal, decisions: Decisions, display: Display) -> list[SetpointLine]:
    """Return every setpoint of the proposal, in its order."""
    lines = []
    for item, points in groups_of(proposal).items():
        first = points[0]
        how = {"detection": first.range.detection if first.range else "", "axial": _is_axial(first)}
        for level in LEVELS:
            own = first.setpoints.alarm if level == "alarm" else first.setpoints.trip
            given = {value.state: value for value in decisions.values.get((item, level), ())}
            if own is None and not given:
                continue
            lines.append(
                SetpointLine(
                    item=item,
                    level=level,
                    tags=", ".join(point.tag for point in points),
                    point=first.key,
                    proposed=setting(own, display, **how),
                    rule=decisions.beside(item, level, own.unit if own else "", display, **how),
                    states=tuple(
                        StateCell(given.get(state), value_text(given[state], display, **how))
                        if state in given
                        else StateCell(None, "")
                        for state in SetpointState.values
                    ),
                )
            )
    return lines


def left_over(proposal: Proposal, values: Iterable[SetpointValue]) -> list[SetpointValue]:
    """Return values whose setpoint is no longer in the proposal: listed, never dropped."""
    groups = groups_of(proposal)
    return [value for value in values if value.item not in groups]


def standing_lines(item: Item, values: Iterable[SetpointValue]) -> list[tuple[SetpointValue, str]]:
    """Return the latest value of each state given for one setpoint, in the order of the states."""
    latest = {value.state: value for value in values}
    how = {"detection": item.detection, "axial": item.is_axial}
    return [
        (latest[state], value_text(latest[state], None, **how))
        for state in SetpointState.values
        if state in latest
    ]


@dataclass(frozen=True, slots=True)
class ListedLine:
    """One line of a list before it is adopted: what stands in that state now, what the list says."""

    item: str
    level: str
    tags: str
    cell: str
    proposed: str
    was: str
    now: str

    @property
    def is_new(self) -> bool:
        return self.was != self.now


def listed_lines(
    proposal: Proposal, listed: Sequence[ListedValue], decisions: Decisions, state: str
) -> list[ListedLine]:
    """Return was and is of every value of a list, in the units things are set in."""
    groups = groups_of(proposal)
    lines = []
    for each in listed:
        given = each.given
        points = groups[given.item]
        first = points[0]
        how = {"detection": first.range.detection if first.range else "", "axial": _is_axial(first)}
        own = first.setpoints.alarm if given.level == "alarm" else first.setpoints.trip
        before = next(
            (value for value in decisions.values.get((given.item, given.level), ()) if value.state == state),
            None,
        )
        lines.append(
            ListedLine(
                item=given.item,
                level=given.level,
                tags=", ".join(point.tag for point in points),
                cell=each.cell,
                proposed=setting(own, None, **how),
                was=NONE if before is None else value_text(before, None, **how),
                now=_sides(given.value, given.low, given.unit, how),
            )
        )
    return lines


def _sides(value: float, low: float | None, unit: str, how: dict[str, object]) -> str:
    high = figure(value, unit, None, **how)
    if low is None:
        return high
    return f"±{high}" if low == -value else f"+{high} / {figure(low, unit, None, axial=True)}"


def _is_axial(point: Point) -> bool:
    return point.quantity == "axial_position"
