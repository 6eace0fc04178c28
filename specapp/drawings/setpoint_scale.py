"""The setpoints of a shaft as scales one under another, like a slide rule."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from specapp.domain.display import number_text, with_unit
from specapp.domain.proposal import Point, Proposal, Range, Setpoint
from specapp.drawings.axis import Axis, round_ticks
from specapp.drawings.marks import LABEL, Mark, marked_line, marks_height, on_paper
from specapp.drawings.scene import Group, Line, LineKind, Scene, SceneTable, Shape, Text
from specapp.drawings.text_extent import shortened, text_width_mm, wrapped
from specapp.drawings.train import QUANTITY_WORDS, Position, positions_of
from specapp.kernel.units import convert

_MARGIN = 5.0
_NARROW = 140.0
_LABELS = 50.0
_RULES = {
    "radial.multiple": "multiple of acceptance",
    "radial.zone": "evaluation zone",
    "radial.clearance": "bearing clearance",
    "radial.baseline": "baseline and change",
    "radial.minimum_separation": "separation from trip",
    "motor.radial": "fixed for motors",
    "overspeed.percent": "share of the rated speed",
    "axial.allowance_cap": "cap of the allowance",
    "axial.babbitt_share": "share of the babbitt",
    "axial.rub_share": "share of the gap to a rub",
    "casing.zone": "evaluation zone",
    "casing.baseline": "baseline and change",
    "temperature.journal": "journal bearing limit",
    "temperature.thrust": "thrust bearing limit",
    "temperature.babbitt_limit": "limit of the babbitt",
    "temperature.motor_bearing": "motor bearing limit",
    "temperature.winding_b": "winding limit, class B",
    "temperature.winding_f": "winding limit, class F",
}
_LEVELS = ("alarm", "trip")
_DETECTION = {"pp": " p-p", "peak": " peak", "rms": " r.m.s.", "mean": ""}


@dataclass(frozen=True, slots=True)
class _Row:
    """One scale: its name, its marks, and what it lacks where it has none."""

    name: str
    marks: tuple[Mark, ...]
    lacks: str = ""
    bold: bool = False


@dataclass(frozen=True, slots=True)
class _Rule:
    """The scales of one measuring position, or of several that agree in everything."""

    positions: tuple[Position, ...]
    span: Range
    rows: tuple[_Row, ...]

    @property
    def title(self) -> str:
        first = self.positions[0]
        places = ", ".join(position.bearing or position.key for position in self.positions)
        unit = with_unit(0, self.span.high.unit).removeprefix("0").strip()
        detection = _DETECTION.get(self.span.detection, "")
        return f"{places}: {QUANTITY_WORDS.get(first.quantity, first.quantity)}, {unit}{detection}"


def setpoint_scale_scene(proposal: Proposal, shaft: str, width_mm: float = 190.0) -> Scene:
    """Return the scales of every measuring position of a shaft; under 140 mm wide for a phone.

    Raises
    ------
    KeyError
        If the proposal has no such shaft among its points or shafts.
    """
    positions = [position for position in positions_of(proposal) if position.shaft == shaft]
    if not positions and shaft not in [line.name for line in proposal.shafts]:
        raise KeyError(shaft)
    rules = _rules(proposal, positions)
    shapes: list[Shape] = []
    y = _MARGIN
    for rule in rules:
        drawn, y = _drawn(rule, y, width_mm)
        shapes.append(Group(rule.positions[0].key, rule.title, tuple(drawn)))
        y += 5
    if not rules:
        text = "No setpoint on this shaft."
        shapes.append(Text(_MARGIN, y + 4, text, 3.2))
        y += 6
    return Scene(
        name=f"setpoints-{shaft}",
        width=width_mm,
        height=y + _MARGIN,
        title=f"Setpoint scales of {shaft}, {proposal.machine.get('tag') or 'the machine'}",
        description="For each position: every candidate, the governing one drawn thick, and the setting.",
        shapes=tuple(shapes),
        table=_table(rules),
    )


def _rules(proposal: Proposal, positions: Iterable[Position]) -> tuple[_Rule, ...]:
    merged: dict[tuple[str, Range, tuple[_Row, ...]], list[Position]] = {}
    for position in positions:
        point = position.points[0]
        if point.range is None or not (point.setpoints.alarm or point.setpoints.trip):
            continue
        rows = tuple(_rows(proposal, point, point.range))
        merged.setdefault((position.quantity, point.range, rows), []).append(position)
    return tuple(_Rule(tuple(found), span, rows) for (_, span, rows), found in merged.items())


def _rows(proposal: Proposal, point: Point, span: Range) -> list[_Row]:
    rows = []
    shaft = next((line for line in proposal.shafts if line.name == point.shaft), None)
    if point.quantity == "radial_vibration" and shaft is not None and shaft.acceptance_limit is not None:
        limit = shaft.acceptance_limit
        value = convert(limit.value, limit.unit, span.high.unit)
        rows.append(_Row("acceptance limit", (Mark(value, "limit A " + number_text(value, digits=3)),)))
    rows += _candidate_rows(point)
    rows.append(_Row("setting", tuple(_setting_marks(point)), bold=True))
    multiplied = _multiplied(point)
    if multiplied is not None:
        rows.append(_Row("while starting", (multiplied,)))
    ends = [Mark(span.high.value, "full scale " + number_text(span.high.value), "thick")]
    if span.low.value < 0:
        ends.append(Mark(span.low.value, number_text(span.low.value), "thick"))
    rows.append(_Row("range", tuple(ends)))
    return rows


def _candidate_rows(point: Point) -> list[_Row]:
    marks: dict[str, list[Mark]] = {}
    lacks: dict[str, str] = {}
    for level in _LEVELS:
        setpoint = _at(point, level)
        for candidate in setpoint.candidates if setpoint else ():
            family = _family(candidate.criterion)
            row = marks.setdefault(family, [])
            if candidate.value is None:
                lacks[family] = f"not evaluated, needs {candidate.needs or 'an input'}"
                continue
            governs = setpoint is not None and setpoint.governed_by == candidate.criterion
            line: LineKind = "thick" if governs else "thin"
            text = number_text(candidate.value, digits=4) + (" governs" if governs else "")
            row.append(Mark(candidate.value, f"{level} {text}", line))
    return [_Row(family, tuple(row), lacks.get(family, "")) for family, row in marks.items()]


def _family(criterion: str) -> str:
    group, _, name = criterion.partition(".")
    for level in _LEVELS:
        name = name.removeprefix(f"{level}_").removesuffix(f"_{level}")
    return _RULES.get(f"{group}.{name}", f"{group} {name}".replace("_", " "))


def _at(point: Point, level: str) -> Setpoint | None:
    return point.setpoints.alarm if level == "alarm" else point.setpoints.trip


def _setting_marks(point: Point) -> Iterable[Mark]:
    """Return the marks of alarm and trip; the lower value of a pair has the state told at the upper one."""
    for level in _LEVELS:
        setpoint = _at(point, level)
        if setpoint is None or setpoint.value is None:
            continue
        state = "" if setpoint.status == "proposed" else f" ({setpoint.status})"
        yield Mark(setpoint.value, f"{level} {number_text(setpoint.value)}{state}", "thick")
        if setpoint.low is not None:
            yield Mark(setpoint.low, f"{level} {number_text(setpoint.low)}", "thick")


def _multiplied(point: Point) -> Mark | None:
    trip = point.setpoints.trip
    if point.multiplier is None or trip is None or trip.value is None:
        return None
    factor = point.multiplier.factor
    return Mark(factor * trip.value, f"trip × {number_text(factor)}", "thick")


def _drawn(rule: _Rule, top: float, width: float) -> tuple[list[Shape], float]:
    narrow = width < _NARROW
    axis = Axis(
        min(0.0, rule.span.low.value),
        rule.span.high.value,
        _MARGIN + (2 if narrow else _LABELS),
        width - _MARGIN - 3,
    )
    settings = tuple(
        axis.at(mark.value) for mark in _setting_marks(rule.positions[0].points[0]) if axis.holds(mark.value)
    )
    shapes: list[Shape] = []
    y = top
    for line in wrapped(rule.title, 3.2, width - 2 * _MARGIN, bold=True):
        shapes.append(Text(_MARGIN, y + 3, line, 3.2, weight="bold"))
        y += 4.4
    y += 5.5
    shapes += _ruler(axis, y)
    ruler_y = y
    y += 2.5
    for row in rule.rows:
        if narrow:
            shapes += on_paper(_name(row, _MARGIN, y + 3.2, width - 2 * _MARGIN))
            y += 5.4
        else:
            shapes += on_paper(_name(row, _MARGIN, y + 3.5, _LABELS - 4))
            y += 2.5
        marks = list(row.marks)
        if marks:
            shapes += marked_line(marks, axis, y, settings)
            y += marks_height(marks, axis, settings)
        else:
            shapes.append(Line(axis.left, y, axis.right, y, "hair"))
            y += 1.0
        if row.lacks:
            room = axis.right - axis.left
            lines = wrapped(row.lacks, LABEL, room)
            for n, line in enumerate(lines):
                shapes += on_paper(Text(axis.left, y + 2.2 + n * 3.4, line, LABEL))
            y += 3.4 * len(lines)
        y += 1.2
    return [*(Line(x, ruler_y, x, y, "dash") for x in settings), *shapes], y


def _name(row: _Row, x: float, y: float, room: float) -> Text:
    return Text(
        x, y, shortened(row.name, 2.9, room, bold=row.bold), 2.9, weight="bold" if row.bold else "normal"
    )


def _ruler(axis: Axis, y: float) -> list[Shape]:
    shapes: list[Shape] = [Line(axis.left, y, axis.right, y)]
    edge = -1e9
    for value in round_ticks(axis.low, axis.high):
        x = axis.at(value)
        label = number_text(value)
        half = text_width_mm(label, LABEL) / 2
        shapes.append(Line(x, y - 1.5, x, y))
        if x - half > edge:
            shapes.append(Text(x, y - 2.2, label, LABEL, "middle"))
            edge = x + half + 0.8
    return shapes


def _table(rules: tuple[_Rule, ...]) -> SceneTable:
    rows = [
        (position.key, (position.key, row.name, "; ".join(mark.label for mark in row.marks) or row.lacks))
        for rule in rules
        for position in rule.positions
        for row in rule.rows
    ]
    return SceneTable(("Position", "Scale", "Marks"), tuple(rows))
