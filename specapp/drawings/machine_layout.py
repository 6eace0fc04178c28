"""The machine as a general arrangement: seen from the driver, and from the side shaft by shaft."""

from __future__ import annotations

from specapp.domain.display import with_unit
from specapp.domain.proposal import Proposal
from specapp.drawings import end_view
from specapp.drawings.scene import Balloon, Group, Line, Scene, SceneTable, Shape, Text
from specapp.drawings.shaft_row import (
    DRIVER_LENGTH,
    DRIVER_OFFSET,
    GEAR_HALF,
    SIDE_LENGTH,
    Row,
    shaft_row,
)
from specapp.drawings.symbols import arrow
from specapp.drawings.text_extent import shortened, wrapped
from specapp.drawings.train import (
    BULL_GEAR,
    DRIVER,
    QUANTITY_WORDS,
    Position,
    Train,
    driver_words,
    speed_text,
    train_of,
)

_MARGIN = 5.0
_GAP = 8.0
_TITLE_HEIGHT = 7.0
_LIST_LINE = 4.3
_LIST_TEXT = 2.9
_STRIP = 5.0
_TRAIN_LEFT = DRIVER_OFFSET + DRIVER_LENGTH + 17.0
_TRAIN_WIDTH = _TRAIN_LEFT + SIDE_LENGTH + 3.0
_GENERAL_NOTE = (
    "Outline, not to scale. Angles are clockwise from the top seen in view A. "
    "Side 1 faces the driver and is drawn on the left."
)
_LOCATED = {
    "thrust_collar": "located by thrust collars",
    "thrust_bearing": "thrust bearing of its own",
    "mesh": "located by its mesh",
}


def layout_scene(proposal: Proposal) -> Scene:
    """Return the general arrangement of the whole machine with every point in its balloon table."""
    train = train_of(proposal)
    left_width = end_view.WIDTH
    x2 = _MARGIN + left_width + _GAP
    body = _MARGIN + _TITLE_HEIGHT
    rows_shapes, rows_bottom = _rows(train, x2, body)
    view, view_bottom = end_view.end_view(train, _MARGIN, body)
    list_top = view_bottom + 6
    listed, list_bottom = _list(train.positions, _MARGIN, list_top, left_width)
    shapes: list[Shape] = [
        Text(_MARGIN, _MARGIN + 3.6, "View A, from the driver's outer end", 3.4, weight="bold"),
        Text(x2, _MARGIN + 3.6, "Train along the power flow, shafts one under another", 3.4, weight="bold"),
        *view,
        *rows_shapes,
        *listed,
    ]
    foot = max(rows_bottom, list_bottom) + 4
    notes = _notes(train)
    shapes += [Text(_MARGIN, foot + 3 + n * 4, note, 2.7) for n, note in enumerate(notes)]
    return Scene(
        name="layout",
        width=x2 + _TRAIN_WIDTH + _MARGIN,
        height=foot + len(notes) * 4 + _MARGIN,
        title=f"Machine layout of {_tag(proposal)}",
        description=(
            "Outline of the machine with a numbered balloon for every measuring position; "
            "the table beside it lists every point under its number."
        ),
        shapes=tuple(shapes),
        table=balloon_table(train.positions),
        balloons=_balloons(train.positions),
    )


def shaft_scene(proposal: Proposal, shaft: str) -> Scene:
    """Return one shaft, BG, M or a pinion, on a sheet narrow enough for a phone.

    Raises
    ------
    KeyError
        If the proposal has no such shaft.
    """
    train = train_of(proposal)
    if shaft not in shaft_names(proposal):
        raise KeyError(shaft)
    width = 2 * SIDE_LENGTH + 8
    centre = width / 2
    positions = train.at(shaft)
    first, *others = _shaft_lines(train, shaft)
    name = wrapped(first, 3.4, width - 2 * _MARGIN, bold=True)
    facts = [part for line in others for part in wrapped(line, 3.4, width - 2 * _MARGIN)]
    title = [*name, *facts]
    shapes: list[Shape] = [
        Text(_MARGIN, 6 + n * 4.6, text, 3.4, weight="bold" if n < len(name) else "normal")
        for n, text in enumerate(title)
    ]
    row = shaft_row(
        train, shaft, gear_x=centre, top=6 + len(title) * 4.6, left=_MARGIN - 1, right=width - _MARGIN + 1
    )
    shapes += row.shapes
    top = row.bottom + 3
    for number, (key, label, cells) in enumerate(_list_rows(positions)):
        y = top + 3 + number * 4.8
        shapes.append(_list_row(key, label, cells, _MARGIN, y, width - 2 * _MARGIN, 3.2))
    return Scene(
        name=f"shaft-{shaft}",
        width=width,
        height=top + len(positions) * 4.8 + _MARGIN,
        title=f"Measuring positions on {shaft} of {_tag(proposal)}",
        description="One shaft seen from the side, the end that faces the driver on the left.",
        shapes=tuple(shapes),
        table=balloon_table(positions),
        balloons=_balloons(positions),
    )


def shaft_names(proposal: Proposal) -> tuple[str, ...]:
    """Return the shafts that have a drawing of their own, along the power flow."""
    drawn = [shaft.name for shaft in proposal.shafts if shaft.name != DRIVER]
    has_driver = bool(proposal.machine.get("driver"))
    return (DRIVER, *drawn) if has_driver else tuple(drawn)


def balloon_table(positions: tuple[Position, ...]) -> SceneTable:
    """Return the balloon list as text, one row a point."""
    rows = tuple(
        (
            point.key,
            (
                str(position.number),
                point.tag,
                point.title,
                QUANTITY_WORDS.get(point.quantity, point.quantity),
            ),
        )
        for position in positions
        for point in position.points
    )
    return SceneTable(("Balloon", "Tag", "Point", "Quantity"), rows)


def _balloons(positions: tuple[Position, ...]) -> tuple[Balloon, ...]:
    return tuple(
        Balloon(position.number, point.key, point.tag) for position in positions for point in position.points
    )


def _tag(proposal: Proposal) -> str:
    return str(proposal.machine.get("tag") or "the machine")


def _rows(train: Train, left: float, top: float) -> tuple[list[Shape], float]:
    gear_x = left + _TRAIN_LEFT
    names = [shaft.name for shaft in train.shafts]
    rows: list[Row] = []
    labels: list[Shape] = []
    y = top
    for name in names:
        driven_here = name == train.driver_shaft
        lines = _shaft_lines(train, name)
        if driven_here:
            strip = shortened(", ".join(lines), _LIST_TEXT, _TRAIN_WIDTH - 2, bold=True)
            labels.append(Text(left, y + 3, strip, _LIST_TEXT, weight="bold"))
            y += _STRIP
        row_left = left + 9 if driven_here else gear_x - SIDE_LENGTH
        row = shaft_row(
            train,
            name,
            gear_x=gear_x,
            top=y,
            left=row_left,
            right=left + _TRAIN_WIDTH,
            with_driver=driven_here,
        )
        if driven_here:
            labels += [*arrow(left, row.axis_y, left + 7, row.axis_y), Text(left, row.axis_y - 2, "A", 3.4)]
        else:
            labels += _row_label(lines, left, row.axis_y, gear_x - SIDE_LENGTH - 6 - left)
        labels.append(Line(left, row.bottom + 1, left + _TRAIN_WIDTH, row.bottom + 1, "hair"))
        rows.append(row)
        y = row.bottom + 2
    shapes: list[Shape] = []
    if len(rows) > 1:
        band_top, band_bottom = rows[0].axis_y + GEAR_HALF, rows[-1].axis_y + 6
        for edge in (gear_x - 5, gear_x + 5):
            shapes.append(Line(edge, band_top, edge, band_bottom, "hair"))
    shapes += labels
    for row in rows:
        shapes += row.shapes
    return shapes, y


def _row_label(lines: tuple[str, ...], x: float, axis_y: float, width: float) -> list[Shape]:
    first = axis_y - (len(lines) - 1) * 2.1
    return [
        Text(
            x,
            first + n * 4.2 + 1,
            shortened(line, _LIST_TEXT, width, bold=n == 0),
            _LIST_TEXT,
            weight="bold" if n == 0 else "normal",
        )
        for n, line in enumerate(lines)
    ]


def _shaft_lines(train: Train, name: str) -> tuple[str, ...]:
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


def _list_rows(positions: tuple[Position, ...]) -> list[tuple[Position, str, str]]:
    return [(position, position.key, position.legs) for position in positions]


def _list_row(
    position: Position, key: str, legs: str, x: float, y: float, width: float, size: float
) -> Group:
    shapes: list[Shape] = [
        Text(x + 5, y, str(position.number), size, "end"),
        Text(x + 7, y, shortened(key, size, width - 28), size),
        Line(x, y + 1.1, x + width, y + 1.1, "hair"),
    ]
    if legs:
        shapes.append(Text(x + width, y, shortened(legs, size, 20), size, "end"))
    return Group(position.key, position.label, tuple(shapes))


def _list(positions: tuple[Position, ...], x: float, top: float, width: float) -> tuple[list[Shape], float]:
    columns = 2
    lines = -(-len(positions) // columns)
    column_width = (width - 4 * (columns - 1)) / columns
    shapes: list[Shape] = [
        Text(x, top + 3, "Balloons: measuring position, and the points it holds", _LIST_TEXT, weight="bold")
    ]
    first = top + 8
    for index, position in enumerate(positions):
        column, line = divmod(index, lines)
        shapes.append(
            _list_row(
                position,
                position.key,
                position.legs,
                x + column * (column_width + 4),
                first + line * _LIST_LINE,
                column_width,
                _LIST_TEXT,
            )
        )
    return shapes, first + lines * _LIST_LINE


def _notes(train: Train) -> tuple[str, ...]:
    notes = [_GENERAL_NOTE]
    missing = [pinion.name for pinion in train.pinions if pinion.position_angle_deg is None]
    if missing:
        notes.append(f"Position angle not given, drawn at a usual place: {', '.join(missing)}.")
    if any(pinion.expander_stages for pinion in train.pinions):
        notes.append("A wheel with a double back plate is an expander.")
    return tuple(notes)
