"""Marks on a scale line, their labels hung below as flags, kept apart."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from specapp.drawings.axis import Axis
from specapp.drawings.flags import Flag, flags
from specapp.drawings.scene import Line, LineKind, Polyline, Rect, Shape, Text
from specapp.drawings.text_extent import text_box, text_width_mm

LABEL = 2.7
TIER = 3.6
_TICK = 1.6
_BESIDE = 0.8  # from a leader to the letters
_APART = 1.6  # from the letters to what comes next
_PAST_AXIS = 2.5


@dataclass(frozen=True, slots=True)
class Mark:
    value: float
    label: str
    line: LineKind = "thin"


@lru_cache(maxsize=512)
def _hung(marks: tuple[Mark, ...], axis: Axis, avoid: tuple[float, ...]) -> tuple[Flag, ...]:
    widths = [text_width_mm(mark.label, LABEL) + _BESIDE + _APART for mark in marks]
    return flags([axis.at(mark.value) for mark in marks], widths, axis.left, axis.right + _PAST_AXIS, avoid)


def marks_height(marks: list[Mark], axis: Axis, avoid: tuple[float, ...] = ()) -> float:
    """Return the room the marks and their labels need under the line."""
    deepest = max((flag.tier for flag in _hung(tuple(marks), axis, avoid)), default=-1)
    return _TICK + 0.4 + (deepest + 1) * TIER


def marked_line(marks: list[Mark], axis: Axis, y: float, avoid: tuple[float, ...] = ()) -> list[Shape]:
    """Return a scale line at ``y`` with ticks at the marks and their labels below, kept apart.

    A value beyond the axis is drawn as an arrow head at the end of the line. Labels keep clear of upright
    lines at ``avoid`` mm where there is room.
    """
    shapes: list[Shape] = [Line(axis.left, y, axis.right, y, "hair")]
    labels: list[Shape] = []
    for mark, flag in zip(marks, _hung(tuple(marks), axis, avoid), strict=True):
        x = axis.at(mark.value)
        if axis.holds(mark.value):
            shapes.append(Line(x, y - _TICK, x, y + _TICK, mark.line))
        else:
            shapes.append(_beyond(x, y, mark.value > axis.high))
        base = y + _TICK + 0.4 + flag.tier * TIER + LABEL * 0.76
        shapes.append(Line(x, y + _TICK, x, base, "hair"))
        labels += on_paper(_label(mark.label, flag, x, base))
    return shapes + labels


def _label(text: str, flag: Flag, x: float, base: float) -> Text:
    if flag.left >= x - 0.01:
        return Text(flag.left + _BESIDE, base, text, LABEL)
    if flag.right <= x + 0.01:
        return Text(flag.right - _BESIDE, base, text, LABEL, "end")
    return Text((flag.left + flag.right) / 2, base, text, LABEL, "middle")


def on_paper(text: Text) -> tuple[Shape, ...]:
    """Return a text with a sheet of paper behind it, so that grid lines stop short of the letters."""
    area = text_box(text)
    return (Rect(area.left, area.top, area.right - area.left, area.bottom - area.top, "paper", "none"), text)


def _beyond(x: float, y: float, upward: bool) -> Polyline:
    back = x - 2.0 if upward else x + 2.0
    return Polyline(((x, y), (back, y - 1.0), (back, y + 1.0)), closed=True, fill="ink", line="none")
