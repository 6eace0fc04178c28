"""A scale with labelled marks: the row of a slide rule, or of a map of frequencies."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.drawings.axis import Axis
from specapp.drawings.placing import spread
from specapp.drawings.scene import Line, LineKind, Polyline, Rect, Shape, Text
from specapp.drawings.text_extent import text_box, text_width_mm

LABEL = 2.7
TIER = 3.8
_GAP = 1.8
_NEAR = 14.0
_TIERS_FOR_NEARNESS = 3


@dataclass(frozen=True, slots=True)
class Mark:
    value: float
    label: str
    line: LineKind = "thin"


def mark_tiers(marks: list[Mark], axis: Axis) -> list[list[Mark]]:
    """Share marks out to tiers of labels: as few as keep each label near its mark, three unless full."""
    length = axis.right - axis.left
    ordered = sorted(marks, key=lambda mark: (mark.value, mark.label))
    for count in range(1, len(ordered) + 1):
        rows = [ordered[start::count] for start in range(count)]
        if any(sum(_label_width(mark) for mark in row) > length for row in rows):
            continue
        if count >= _TIERS_FOR_NEARNESS or all(_farthest(row, axis) <= _NEAR for row in rows):
            return rows
    return [[mark] for mark in ordered]


def _farthest(row: list[Mark], axis: Axis) -> float:
    wanted = [axis.at(mark.value) for mark in row]
    centres = spread(wanted, [_label_width(mark) for mark in row], axis.left, axis.right)
    return max(abs(centre - want) for centre, want in zip(centres, wanted, strict=True))


def _label_width(mark: Mark) -> float:
    return text_width_mm(mark.label, LABEL) + _GAP


def marks_height(marks: list[Mark], axis: Axis) -> float:
    """Return the room the marks and their labels need under the line."""
    return 3.6 + len(mark_tiers(marks, axis)) * TIER


def marked_line(marks: list[Mark], axis: Axis, y: float) -> list[Shape]:
    """Return a scale line at ``y`` with ticks at the marks and their labels below, kept apart.

    A value beyond the axis is drawn as an arrow head at the end of the line.
    """
    shapes: list[Shape] = [Line(axis.left, y, axis.right, y, "hair")]
    labels: list[Shape] = []
    for tier, row in enumerate(mark_tiers(marks, axis)):
        centres = spread(
            [axis.at(mark.value) for mark in row], [_label_width(mark) for mark in row], axis.left, axis.right
        )
        base = y + 3.2 + (tier + 1) * TIER - 1.0
        for mark, centre in zip(row, centres, strict=True):
            x = axis.at(mark.value)
            if axis.holds(mark.value):
                shapes.append(Line(x, y - 1.6, x, y + 1.6, mark.line))
            else:
                shapes.append(_beyond(x, y, mark.value > axis.high))
            shapes.append(Line(x, y + 1.6, centre, base - LABEL * 0.8, "hair"))
            labels += on_paper(Text(centre, base, mark.label, LABEL, "middle"))
    return shapes + labels


def on_paper(text: Text) -> tuple[Shape, ...]:
    """Return a text with a sheet of paper behind it, so that grid lines stop short of the letters."""
    area = text_box(text)
    return (Rect(area.left, area.top, area.right - area.left, area.bottom - area.top, "paper", "none"), text)


def _beyond(x: float, y: float, upward: bool) -> Polyline:
    back = x - 2.0 if upward else x + 2.0
    return Polyline(((x, y), (back, y - 1.0), (back, y + 1.0)), closed=True, fill="ink", line="none")
