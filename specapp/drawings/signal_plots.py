"""What the bench shows of one case: signal, detected value, setpoints and relays on one time axis."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, floor, log10
from typing import Final

from specapp.bench.result import Level, Plot, State, Trace
from specapp.domain.display import number_text, with_unit
from specapp.drawings.axis import Axis, round_ticks
from specapp.drawings.marks import LABEL, on_paper
from specapp.drawings.scene import Group, Line, LineKind, Polyline, Rect, Scene, SceneTable, Shape, Text
from specapp.drawings.text_extent import shortened, text_width_mm, wrapped

__all__ = ["signal_plot_scene"]

_MARGIN: Final = 5.0
_NARROW: Final = 140.0
_SIGNAL, _DETECTED, _BAR = 22.0, 46.0, 6.0
_GAP: Final = 5.0
_STATES: Final = {"circuit fault": "circuit fault", "alarm": "alarm", "trip": "trip"}
_LINES: Final[tuple[LineKind, ...]] = ("thick", "thin", "dash", "hair", "chain", "thin")


def signal_plot_scene(plot: Plot, width_mm: float = 200.0) -> Scene:
    """Return the picture of a case; under 140 mm wide for a phone."""
    narrow = width_mm < _NARROW
    left = _MARGIN + 15.0
    right = width_mm - _MARGIN - (2.0 if narrow else 26.0)
    axis = Axis(plot.time_s[0], plot.time_s[-1], left, right)
    shapes: list[Shape] = []
    y = _MARGIN + 1
    top = y
    for trace in _drawn_signals(plot.signals, narrow=narrow):
        y = _title(shapes, f"{trace.name}, {_symbol(trace.unit)}", y, width_mm)
        shapes.append(Group(f"{plot.function}/signal", trace.name, tuple(_band(trace, plot, axis, y))))
        y += _SIGNAL + _GAP
    unit = _symbol(plot.detected[0].unit)
    legs = ", ".join(
        f"{trace.name} {_line_word(_LINES[number % len(_LINES)])}"
        for number, trace in enumerate(plot.detected)
    )
    y = _title(shapes, f"detected value, {unit}: {legs}", y, width_mm)
    shapes.append(Group(plot.function, "detected value", tuple(_detected(plot, axis, y, width_mm, narrow))))
    y += _DETECTED + _GAP
    for state in plot.states:
        shapes.append(Group(f"{plot.function}/{state.name}", state.name, tuple(_bars(state, axis, y))))
        y += _BAR + 2.0
    shapes += _time_axis(axis, y)
    if axis.holds(0):
        shapes.insert(0, Line(axis.at(0), top, axis.at(0), y, "chain"))
    return Scene(
        name=f"bench-{plot.function}-{plot.scenario}-{plot.case}",
        width=width_mm,
        height=y + 12 + _MARGIN,
        title=plot.title,
        description="Time runs to the right from the begin of the disturbance, drawn as a centre line.",
        shapes=tuple(shapes),
        table=_table(plot),
    )


def _symbol(unit: str) -> str:
    return with_unit(0, unit).removeprefix("0").strip()


def _drawn_signals(signals: Sequence[Trace], *, narrow: bool) -> Sequence[Trace]:
    return signals[: 1 if narrow else 2]


def _line_word(line: LineKind) -> str:
    return {"thick": "thick", "thin": "thin", "dash": "dashed", "hair": "hairline", "chain": "chained"}[line]


def _title(shapes: list[Shape], text: str, y: float, width: float) -> float:
    for line in wrapped(text, 2.9, width - 2 * _MARGIN):
        shapes += on_paper(Text(_MARGIN, y + 2.4, line, 2.9))
        y += 3.8
    return y + 1.8


def _reach(values: Sequence[float], *, from_zero: bool) -> tuple[float, float]:
    """Return round ends around values, with air; from 0 where the values allow."""
    low, high = min(values), max(values)
    if from_zero and low >= 0:
        low = 0.0
    span = max(high - low, abs(high) * 1e-3, 1e-6)
    step = 10.0 ** floor(log10(span)) / 2
    return floor(low / step) * step, ceil((high + 0.04 * span) / step) * step


def _scaled(low: float, high: float, top: float, height: float) -> Axis:
    """Return an axis that runs upward: its left end is the bottom of the panel."""
    return Axis(low, high, top + height, top)


def _frame(axis: Axis, up: Axis, top: float, height: float, ticks: int) -> Iterator[Shape]:
    yield Rect(axis.left, top, axis.right - axis.left, height, "none", "hair")
    taken: list[float] = []
    for value in round_ticks(up.low, up.high, ticks):
        y = up.at(value)
        yield Line(axis.left - 1.2, y, axis.left, y, "hair")
        if all(abs(y - other) > 3.4 for other in taken):
            taken.append(y)
            yield Text(axis.left - 1.8, y + 0.9, number_text(value, digits=3), LABEL, "end")


def _band(trace: Trace, plot: Plot, axis: Axis, top: float) -> Iterator[Shape]:
    low = trace.low if trace.low is not None else trace.high
    up = _scaled(*_reach((*trace.high, *low), from_zero=False), top, _SIGNAL)
    yield from _frame(axis, up, top, _SIGNAL, 3)
    xs = [axis.at(time) for time in plot.time_s]
    upper = [(x, up.at(value)) for x, value in zip(xs, trace.high, strict=True)]
    lower = [(x, up.at(value)) for x, value in zip(xs, low, strict=True)]
    yield Polyline((*upper, *reversed(lower)), closed=True, fill="hatch", line="thin")


def _detected(plot: Plot, axis: Axis, top: float, width: float, narrow: bool) -> Iterator[Shape]:
    values = [value for trace in plot.detected for value in trace.high]
    values += [value for level in plot.levels for value in level.values]
    settings = [abs(value) for level in plot.levels for value in level.values]
    # A broken circuit reads anything: what lies far beyond the setpoints is cut at the edge of the panel.
    most = 2.5 * max(settings) if settings else max(values)
    low, high = _reach([min(max(value, -most), most) for value in values], from_zero=True)
    if plot.detected[0].unit in ("degC", "degF", "rpm"):
        low, high = _reach([value for value in values if 0.5 * most / 2.5 < value < most], from_zero=False)
    up = _scaled(low, high, top, _DETECTED)
    yield from _frame(axis, up, top, _DETECTED, 6)
    for number, trace in enumerate(plot.detected):
        line = _LINES[number % len(_LINES)]
        points = [(axis.at(t), up.at(v)) for t, v in zip(plot.time_s, trace.high, strict=True)]
        yield Polyline(tuple(points), line=line)
    taken: list[float] = []
    for level in plot.levels:
        yield from _level(level, plot, axis, up, width, narrow, taken)


def _level(
    level: Level, plot: Plot, axis: Axis, up: Axis, width: float, narrow: bool, taken: list[float]
) -> Iterator[Shape]:
    if not up.holds(level.values[-1]) and len(level.values) == 1:
        return
    if len(level.values) == 1:
        y = up.at(level.values[0])
        yield Line(axis.left, y, axis.right, y, "dash")
    else:
        points = [(axis.at(t), up.at(v)) for t, v in zip(plot.time_s, level.values, strict=True)]
        y = points[-1][1]
        yield Polyline(tuple(points), line="dash")
    text = f"{level.name} {number_text(level.values[-1], digits=4)}"
    # A trip beside its alarm is named farther out, above zero upward and below it downward.
    place = y - 0.8 if narrow else y + 0.9
    while any(abs(place - other) < 3.6 for other in taken):
        place += -3.8 if level.values[-1] > 0 else 3.8
    taken.append(place)
    if narrow:
        yield from on_paper(Text(axis.right - 1, place, text, LABEL, "end"))
    else:
        room = width - axis.right - 3
        yield from on_paper(Text(axis.right + 1.5, place, shortened(text, LABEL, room), LABEL))


def _bars(state: State, axis: Axis, y: float) -> Iterator[Shape]:
    name = _STATES.get(state.name, state.name)
    words = wrapped(name, LABEL, axis.left - _MARGIN - 1.5)
    for number, line in enumerate(words):
        yield Text(axis.left - 1.8, y + 3.4 + (number - (len(words) - 1) / 2) * 3.2, line, LABEL, "end")
    yield Line(axis.left, y + _BAR, axis.right, y + _BAR, "hair")
    for begin, end in state.intervals:
        left, right = axis.at(begin), axis.at(end)
        yield Rect(left, y + 1.2, max(right - left, 0.4), _BAR - 1.2, "hatch", "thin")
    if state.intervals and state.intervals[0][0] >= 0:
        text = f"{state.intervals[0][0]:.2f} s"
        x = axis.at(state.intervals[0][0])
        if x - text_width_mm(text, LABEL) - 1 > axis.left:
            yield from on_paper(Text(x - 1.0, y + 4.6, text, LABEL, "end"))


def _time_axis(axis: Axis, y: float) -> Iterator[Shape]:
    yield Line(axis.left, y, axis.right, y)
    edge = -1e9
    for value in round_ticks(axis.low, axis.high, 9):
        x = axis.at(value)
        label = number_text(value)
        half = text_width_mm(label, LABEL) / 2
        yield Line(x, y, x, y + 1.5)
        if x - half > edge:
            yield Text(x, y + 4.6, label, LABEL, "middle")
            edge = x + half + 1
    yield Text((axis.left + axis.right) / 2, y + 9.2, "time from the begin, s", LABEL, "middle")


def _table(plot: Plot) -> SceneTable:
    rows = []
    for trace in plot.detected:
        unit = trace.unit
        peak = max(trace.high, key=abs)
        rows.append((plot.function, (f"{trace.name}, largest", f"{number_text(peak, digits=4)} {unit}")))
    for level in plot.levels:
        values = sorted(set(level.values))
        shown = " to ".join(number_text(value, digits=4) for value in values[:: max(1, len(values) - 1)])
        rows.append((plot.function, (level.name, f"{shown} {plot.detected[0].unit}")))
    for state in plot.states:
        spans = "; ".join(
            f"{number_text(begin, digits=3)} to {number_text(end, digits=3)} s"
            for begin, end in state.intervals[:4]
        )
        more = f" and {len(state.intervals) - 4} more" if len(state.intervals) > 4 else ""
        rows.append((plot.function, (state.name, (spans + more) or "never")))
    return SceneTable(("What", "Value"), tuple(rows))
