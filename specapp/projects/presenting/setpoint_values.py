"""Setpoints of a machine with what the rule, the maker and the site say of each."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.safestring import SafeString

from specapp.core.markup import escape
from specapp.core.time_zone import moment_text
from specapp.documents.wording import NONE
from specapp.domain.display import unit_symbols
from specapp.domain.proposal import Point, Proposal
from specapp.projects.access import Access
from specapp.projects.deciding.items import LEVELS, Item
from specapp.projects.deciding.setpoint_list import ListedValue
from specapp.projects.models import Machine, SetpointState, SetpointValue
from specapp.projects.presenting.decisions import Decisions, value_text
from specapp.projects.presenting.figures import Display, figure, setting
from specapp.projects.presenting.tables import ACTION, Column, Row, Table, filed, joined, small

FORM = "withdraw"


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


def setpoint_table(lines: Iterable[SetpointLine], access: Access, machine: Machine) -> Table:
    """Return setpoints with what each state says of them, for the page and its file."""
    columns = [
        Column("Setpoint", filed=("Setpoint", "Tags")),
        Column("Level"),
        Column("Proposed", "level"),
        *(
            Column(
                name.capitalize(),
                "level",
                filed=tuple(
                    f"{name.capitalize()}{part}" for part in ("", ", document", ", dated", ", person")
                ),
            )
            for name in SetpointState.labels
        ),
    ]
    if access.may_edit_machines:
        columns.append(Column("Action", ACTION))
    return Table("Setpoint values", columns, [_row(line, access, machine) for line in lines], is_narrow=False)


def _row(line: SetpointLine, access: Access, machine: Machine) -> Row:
    place = [machine.project_id, machine.pk]
    link = reverse("projects:point-show", args=[*place, line.point])
    name = SafeString(f'<a href="{link}">{escape(line.item)}</a>')
    cells: list[str] = [
        filed(joined([name, small(line.tags)]), line.item, line.tags),
        line.level,
        joined([line.proposed, line.rule]),
        *(_state(cell) for cell in line.states),
    ]
    if access.may_edit_machines:
        asked = urlencode({"item": line.item, "level": line.level})
        label = f"Write down a value for the {line.level} of {line.item}"
        address = f"{reverse('projects:setpoint-value-write', args=place)}?{escape(asked)}"
        cells.append(SafeString(f'<a href="{address}" aria-label="{escape(label)}">Write down</a>'))
    return Row(cells)


def _state(cell: StateCell) -> SafeString:
    value = cell.value
    if value is None:
        return filed("", None, None, None, None)
    document, dated = _document(value), f"{value.dated:%Y-%m-%d}"
    told = [small(f"{document}, {dated}"), small(value.person)]
    return filed(joined([cell.text, *told]), cell.text, document, dated, value.person)


def _document(value: SetpointValue) -> str:
    return f"{value.document} rev {value.revision}" if value.revision else value.document


def written_table(values: Iterable[SetpointValue], access: Access, machine: Machine) -> Table:
    """Return everything written down; its buttons belong to a form of the page."""
    columns = [
        Column("Setpoint", filed=("Setpoint", "Level")),
        Column("Value", "number", filed=("Value", "Low side", "Unit")),
        Column("State"),
        Column("Document", filed=("Document", "Revision")),
        Column("Given by", filed=("Given by", "Dated")),
        Column("Note"),
        Column("Written", "nowrap", filed=("Written by", "Written")),
    ]
    if access.may_edit_machines:
        columns.append(Column("Action", ACTION))
    return Table("Everything written down", columns, [_written(value, access, machine) for value in values])


def _written(value: SetpointValue, access: Access, machine: Machine) -> Row:
    when, dated = moment_text(value.written_at), f"{value.dated:%Y-%m-%d}"
    low = "" if value.low is None else f" / {value.low}"
    cells: list[str] = [
        filed(f"{value.item}, {value.level}", value.item, value.level),
        filed(f"{value.value}{low} {unit_symbols(value.unit)}", value.value, value.low, value.unit),
        value.get_state_display(),
        filed(_document(value), value.document, value.revision),
        filed(f"{value.person}, {dated}", value.person, dated),
        value.note,
        filed(joined([str(value.author), small(when)]), str(value.author), when),
    ]
    if access.may_edit_machines:
        cells.append(_actions(value, machine))
    return Row(cells)


def _actions(value: SetpointValue, machine: Machine) -> SafeString:
    place = [machine.project_id, machine.pk]
    told = {"item": value.item, "field": value.level, "value": value.value, "reason": value.as_reason}
    adopt = f"{reverse('projects:override-edit', args=place)}?{escape(urlencode(told))}"
    withdraw = reverse("projects:setpoint-value-withdraw", args=[*place, value.pk])
    of = escape(f"the {value.level} of {value.item}")
    return SafeString(
        f'<span class="answers"><a href="{adopt}" aria-label="Set {of} to this">Set to this</a>'
        f'<button form="{FORM}" formaction="{withdraw}" class="as-link" '
        f'aria-label="Withdraw {of}">Withdraw</button></span>'
    )


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
