"""Points and their setpoints as tables: a row for the points of a group that measure one thing together."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from django.utils.safestring import SafeString

from specapp.documents.wording import NONE, measure, number, pair, words
from specapp.domain.proposal import Point, Proposal, Range, Setpoint, Setpoints
from specapp.projects.presenting.figures import Display, setting, span
from specapp.projects.presenting.reader import Reader, state, why, why_of
from specapp.projects.presenting.tables import Column, GroupRow, Row, Table, joined, small

_WAITING = frozenset({"hold", "placeholder"})

_POINT_COLUMNS = (
    Column("Place", "nowrap"),
    Column("Quantity"),
    Column("Tags", "tags"),
    Column("Stage"),
    Column("Transducer", "nowrap"),
    Column("Range"),
    Column("Chain"),
    Column("Marking required", "nowrap"),
)
_SETPOINT_COLUMNS = (
    Column("Place", "nowrap"),
    Column("Quantity"),
    Column("Range", "nowrap"),
    Column("Alarm", "level"),
    Column("Delay", "nowrap"),
    Column("Governed by", "criterion"),
    Column("Trip", "level"),
    Column("Delay", "nowrap"),
    Column("Voting", "nowrap"),
    Column("Governed by", "criterion"),
    Column("Output there", "nowrap"),
)


@dataclass(frozen=True, slots=True)
class Level:
    """An alarm or a trip as shown; `own` is the setting itself where a converted value is shown."""

    value: str
    own: str
    delay: str
    governed_by: str
    status: str
    voting: str
    current: str
    volts: str
    trace: tuple[int, ...]

    def cell(self, beside: Sequence[str] = ()) -> SafeString:
        """Return the value with its standing and what stands beside it; a held one is hatched."""
        parts = [
            why(self.value, self.trace),
            small(f"set {self.own}") if self.own else "",
            *beside,
            state(self.status) if self.status != "proposed" else "",
        ]
        shown = joined(parts)
        return SafeString(f'<div class="held"><div>{shown}</div></div>') if self.status == "hold" else shown


def level(item: Setpoint | None, display: Display, *, detection: str, axial: bool) -> Level | None:
    """Return an alarm or a trip as shown."""
    if item is None:
        return None
    shown = setting(item, display, detection=detection, axial=axial)
    own = setting(item, None, detection=detection, axial=axial)
    return Level(
        value=shown,
        own=own if own != shown else "",
        delay=measure(item.delay),
        governed_by=item.governed_by,
        status=item.status,
        voting=words(item.voting) if item.voting else "",
        current=pair(item.milliamps, item.milliamps_low, 2),
        volts=pair(item.volts, item.volts_low, 2),
        trace=item.trace,
    )


def _grouped(points: Iterable[Point]) -> list[list[Point]]:
    found: dict[str, list[Point]] = {}
    for point in points:
        found.setdefault(point.voting_group, []).append(point)
    return list(found.values())


def _shaft_notes(proposal: Proposal) -> dict[str, str]:
    notes = {}
    for shaft in proposal.shafts:
        parts = [words(shaft.kind), f"maker's name {shaft.maker_name}" if shaft.maker_name else ""]
        if shaft.speed is not None:
            parts.append(measure(shaft.speed))
        if shaft.stages:
            parts.append(f"stage{'s' if len(shaft.stages) > 1 else ''} {', '.join(map(str, shaft.stages))}")
        notes[shaft.name] = ", ".join(part for part in parts if part)
    return notes


def point_table(proposal: Proposal, reader: Reader) -> Table:
    """Return the points by shaft, a row a group."""
    notes = _shaft_notes(proposal)
    rows: list[Row | GroupRow] = []
    for name, points in groupby(proposal.points, key=lambda point: point.shaft):
        rows.append(GroupRow(name, notes.get(name, "")))
        rows.extend(_point_row(group, reader) for group in _grouped(points))
    return Table("Points", _POINT_COLUMNS, rows, is_narrow=False)


def _point_row(points: list[Point], reader: Reader) -> Row:
    first = points[0]
    transducer = first.transducer
    ranges = [span(first.range, reader.display, axial=first.quantity == "axial_position")]
    ranges += [
        f"{words(item.quantity)} {span(item.range, reader.display)}" for item in first.further_readings
    ]
    sizes = [measure(size) for size in (transducer.tip, transducer.system_length) if size is not None]
    stages = dict.fromkeys(str(point.stage) for point in points if point.stage is not None)
    return Row(
        (
            first.voting_group,
            why_of(words(first.quantity), first.key),
            joined((_tag(point, reader) for point in points), " "),
            ", ".join(stages),
            joined(
                [
                    ", ".join([words(transducer.type), *sizes]),
                    small(transducer.band or ""),
                    *_set_beside(points, "tip", reader),
                    *_set_beside(points, "angle", reader),
                ]
            ),
            "; ".join(text for text in ranges if text != NONE) or NONE,
            joined([words(first.chain), *_set_beside(points, "chain", reader)]),
            first.installation.required_marking or NONE,
        )
    )


def _tag(point: Point, reader: Reader) -> SafeString:
    link = reader.point(point.key, point.tag)
    beside = [reader.decisions.beside(point.key, name) for name in ("tag", "added")]
    return joined([link, *beside], " ")


def _set_beside(points: Iterable[Point], field: str, reader: Reader) -> list[str]:
    """Return what was set on points of one row, once where it says the same."""
    return list(dict.fromkeys(reader.decisions.beside(point.key, field) for point in points))


def setpoint_table(proposal: Proposal, reader: Reader) -> tuple[Table, int, int]:
    """Return the setpoints by shaft, how many lines there are, and how many of them wait for the reader.

    A reader of only what needs them gets the lines on hold or still placeholders.
    """
    notes = _shaft_notes(proposal)
    rows: list[Row | GroupRow] = []
    count = needs = 0
    for name, points in groupby(proposal.points, key=lambda point: point.shaft):
        own = [row for group in _grouped(points) for row in _setpoint_rows(group, reader)]
        waiting = [row for row in own if row.style]
        count, needs = count + len(own), needs + len(waiting)
        kept = waiting if reader.only_needs else own
        if kept:
            rows.append(GroupRow(name, notes.get(name, "")))
            rows.extend(kept)
    return Table("Setpoints", _SETPOINT_COLUMNS, rows, is_narrow=False), count, needs


def _setpoint_rows(points: list[Point], reader: Reader) -> Iterator[Row]:
    same = all(point.setpoints == points[0].setpoints and point.range == points[0].range for point in points)
    for together in [points] if same else [[point] for point in points]:
        first = together[0]
        place = first.voting_group if len(together) > 1 else first.key
        row = _setpoint_row(first, place, first.quantity, first.range, first.setpoints, reader)
        if row is not None:
            yield row
        for reading in first.further_readings:
            row = _setpoint_row(first, place, reading.quantity, reading.range, reading.setpoints, reader)
            if row is not None:
                yield row


def _setpoint_row(
    point: Point, place: str, quantity: str, own_range: Range | None, setpoints: Setpoints, reader: Reader
) -> Row | None:
    if setpoints.alarm is None and setpoints.trip is None:
        return None
    axial = quantity == "axial_position"
    detection = own_range.detection if own_range else ""
    alarm = level(setpoints.alarm, reader.display, detection=detection, axial=axial)
    trip = level(setpoints.trip, reader.display, detection=detection, axial=axial)
    multiplier = ""
    if point.multiplier is not None and trip is not None:
        multiplier = f"× {number(point.multiplier.factor)} while starting"
    own = point.quantity == quantity

    def beside(field: str) -> list[str]:
        if not own:
            return []
        item = setpoints.trip if field == "trip" else setpoints.alarm
        how = {"detection": detection, "axial": axial}
        unit = item.unit if item else ""
        set_here = reader.decisions.beside(point.voting_group, field, unit, reader.display, **how)
        return [set_here, *reader.decisions.given(point.voting_group, field, reader.display, **how)]

    delay_beside = reader.decisions.beside(point.voting_group, "delay") if own else ""
    voting_beside = reader.decisions.beside(point.voting_group, "voting") if own else ""
    waiting = any(item is not None and item.status in _WAITING for item in (alarm, trip))
    return Row(
        (
            reader.point(point.key, place),
            words(quantity),
            span(own_range, reader.display, axial=axial),
            alarm.cell(beside("alarm")) if alarm else "",
            joined([alarm.delay, delay_beside]) if alarm else "",
            alarm.governed_by if alarm else "",
            trip.cell(beside("trip")) if trip else "",
            joined([trip.delay, delay_beside]) if trip else "",
            joined([trip.voting, voting_beside, small(multiplier)]) if trip else "",
            trip.governed_by if trip else "",
            joined(_outputs(alarm, trip)),
        ),
        "needs" if waiting else "",
    )


def _outputs(alarm: Level | None, trip: Level | None) -> list[str]:
    return [
        f"{name} {text} {unit}"
        for name, item in (("alarm", alarm), ("trip", trip))
        if item is not None
        for text, unit in ((item.current, "mA"), (item.volts, "V"))
        if text
    ]
