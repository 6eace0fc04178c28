"""The train from the side: shafts one under another along the power flow."""

from __future__ import annotations

from collections.abc import Sequence

from specapp.domain.display import with_unit
from specapp.drawings.scene import Line, Shape, Text
from specapp.drawings.shaft_row import (
    DRIVER_LENGTH,
    DRIVER_OFFSET,
    GEAR_HALF,
    SIDE_LENGTH,
    Row,
    row_extent,
    shaft_row,
)
from specapp.drawings.symbols import arrow
from specapp.drawings.text_extent import shortened
from specapp.drawings.train import BULL_GEAR, DRIVER, Train, driver_words, speed_text

_TEXT = 2.9
_STRIP = 5.0
_LEFT = DRIVER_OFFSET + DRIVER_LENGTH + 17.0
WIDTH = _LEFT + SIDE_LENGTH + 3.0
_LOCATED = {
    "thrust_collar": "located by thrust collars",
    "thrust_bearing": "thrust bearing of its own",
    "mesh": "located by its mesh",
}


def rows_height(train: Train, names: Sequence[str]) -> float:
    """Return the height of a stack of shafts."""
    return sum(_row_height(train, name) for name in names)


def _row_height(train: Train, name: str) -> float:
    driven_here = name == train.driver_shaft
    left = 9.0 if driven_here else _LEFT - SIDE_LENGTH
    above, below = row_extent(train, (name, DRIVER) if driven_here else (name,), WIDTH - left)
    return above + below + 2 + (_STRIP if driven_here else 0.0)


def train_rows(train: Train, names: Sequence[str], left: float, top: float) -> tuple[list[Shape], float]:
    """Return the named shafts from the given corner, WIDTH mm wide, and their lower edge."""
    gear_x = left + _LEFT
    rows: list[Row] = []
    labels: list[Shape] = []
    y = top
    for name in names:
        driven_here = name == train.driver_shaft
        lines = shaft_lines(train, name)
        if driven_here:
            strip = shortened(", ".join(lines), _TEXT, WIDTH - 2, bold=True)
            labels.append(Text(left, y + 3, strip, _TEXT, weight="bold"))
            y += _STRIP
        row = shaft_row(
            train,
            name,
            gear_x=gear_x,
            top=y,
            left=left + 9 if driven_here else gear_x - SIDE_LENGTH,
            right=left + WIDTH,
            with_driver=driven_here,
        )
        if driven_here:
            labels += [*arrow(left, row.axis_y, left + 7, row.axis_y), Text(left, row.axis_y - 2, "A", 3.4)]
        else:
            labels += _row_label(lines, left, row.axis_y, gear_x - SIDE_LENGTH - 6 - left)
        labels.append(Line(left, row.bottom + 1, left + WIDTH, row.bottom + 1, "hair"))
        rows.append(row)
        y = row.bottom + 2
    shapes = [*_gear_band(names, rows, gear_x, top), *labels]
    for row in rows:
        shapes += row.shapes
    return shapes, y


def _gear_band(names: Sequence[str], rows: list[Row], gear_x: float, top: float) -> list[Shape]:
    """Return the edges of the bull gear's face, along which the pinions mesh."""
    if not rows or list(names) == [BULL_GEAR]:
        return []
    start = rows[0].axis_y + GEAR_HALF if names[0] == BULL_GEAR else top
    return [Line(x, start, x, rows[-1].axis_y + 6, "hair") for x in (gear_x - 5, gear_x + 5)]


def _row_label(lines: tuple[str, ...], x: float, axis_y: float, width: float) -> list[Shape]:
    first = axis_y - (len(lines) - 1) * 2.1
    return [
        Text(
            x,
            first + n * 4.2 + 1,
            shortened(line, _TEXT, width, bold=n == 0),
            _TEXT,
            weight="bold" if n == 0 else "normal",
        )
        for n, line in enumerate(lines)
    ]


def shaft_lines(train: Train, name: str) -> tuple[str, ...]:
    """Return what is written beside a shaft: name, speed, ratio, stages, how it is located."""
    if name == DRIVER:
        return ("M, driver", driver_words(train.driver_kind))
    line = train.shaft(name)
    if line is None:
        return (name,)
    if name == BULL_GEAR:
        return ("BG, bull gear", speed_text(line))
    lines = [f"{name}, {line.maker_name}" if line.maker_name else name, speed_text(line)]
    if line.ratio:
        lines.append("ratio " + with_unit(line.ratio, "1", digits=4))
    if line.stages:
        word = "stage" if len(line.stages) == 1 else "stages"
        lines.append(f"{word} " + ", ".join(str(stage) for stage in line.stages))
    pinion = train.pinion(name)
    if pinion is not None and pinion.located_by in _LOCATED:
        lines.append(_LOCATED[pinion.located_by])
    return tuple(lines)
