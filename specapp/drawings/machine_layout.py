"""The machine as a general arrangement: seen from the driver, and from the side shaft by shaft."""

from __future__ import annotations

from specapp.domain.proposal import Proposal
from specapp.drawings import end_view, train_rows
from specapp.drawings.balloon_list import balloon_list, balloon_table, balloons, list_row
from specapp.drawings.scene import Scene, Shape, Text
from specapp.drawings.shaft_row import SIDE_LENGTH, shaft_row
from specapp.drawings.text_extent import wrapped
from specapp.drawings.train import DRIVER, Train, train_of
from specapp.drawings.train_rows import rows_height, shaft_lines

_MARGIN = 5.0
_GAP = 8.0
_BODY = 12.0
_LIST_WIDTH = 140.0
_VIEW_TITLE = "View A, from the driver's outer end"
_TRAIN_TITLE = "Train along the power flow, shafts one under another"
_GENERAL_NOTE = (
    "Outline, not to scale. Angles are clockwise from the top seen in view A. "
    "Side 1 faces the driver and is drawn on the left."
)
_DESCRIPTION = (
    "Outline of the machine with a numbered balloon for every measuring position; "
    "the table beside it lists every point under its number."
)


def layout_scene(proposal: Proposal) -> Scene:
    """Return the general arrangement of the whole machine with every point in its balloon table."""
    train = train_of(proposal)
    x2 = _MARGIN + end_view.WIDTH + _GAP
    rows, rows_bottom = train_rows.train_rows(train, _shafts(train), x2, _BODY)
    view, view_bottom = end_view.end_view(train, _MARGIN, _BODY)
    listed, list_bottom = balloon_list(train.positions, _MARGIN, view_bottom + 6, end_view.WIDTH)
    width = x2 + train_rows.WIDTH + _MARGIN
    notes, height = _notes(train, width, max(rows_bottom, list_bottom) + 4)
    titles = (_heading(_MARGIN, _VIEW_TITLE), _heading(x2, _TRAIN_TITLE))
    return Scene(
        name="layout",
        width=width,
        height=height,
        title=f"Machine layout of {_tag(proposal)}",
        description=_DESCRIPTION,
        shapes=(*titles, *view, *rows, *listed, *notes),
        table=balloon_table(train.positions),
        balloons=balloons(train.positions),
    )


def layout_sheets(
    proposal: Proposal, width_mm: float, height_mm: float, least_scale: float = 0.8
) -> tuple[Scene, ...]:
    """Return the general arrangement on as many sheets as legible print needs.

    One sheet where the whole fits ``width_mm`` by ``height_mm`` at ``least_scale`` or more; else the
    end view with the balloon list first, then the shafts, shared out evenly.
    """
    whole = layout_scene(proposal)
    if min(width_mm / whole.width, height_mm / whole.height) >= least_scale:
        return (whole,)
    train = train_of(proposal)
    stacks = _stacks(train, height_mm / least_scale - _BODY - _MARGIN)
    return (
        _view_sheet(proposal, train),
        *(_rows_sheet(proposal, train, n, s) for n, s in enumerate(stacks, 1)),
    )


def _view_sheet(proposal: Proposal, train: Train) -> Scene:
    x2 = _MARGIN + end_view.WIDTH + _GAP
    view, view_bottom = end_view.end_view(train, _MARGIN, _BODY)
    listed, list_bottom = balloon_list(train.positions, x2, _MARGIN, _LIST_WIDTH)
    width = x2 + _LIST_WIDTH + _MARGIN
    notes, height = _notes(train, width, max(view_bottom, list_bottom) + 4)
    return Scene(
        name="layout-view",
        width=width,
        height=height,
        title=f"Machine layout of {_tag(proposal)}, view and balloons",
        description=_DESCRIPTION,
        shapes=(_heading(_MARGIN, _VIEW_TITLE), *view, *listed, *notes),
        table=balloon_table(train.positions),
        balloons=balloons(train.positions),
    )


def _stacks(train: Train, height_mm: float) -> list[tuple[str, ...]]:
    """Share the shafts out, in order, to the fewest stacks that fit a height, as even as can be."""
    names = _shafts(train)
    for count in range(1, len(names) + 1):
        size, extra = divmod(len(names), count)
        stacks, start = [], 0
        for index in range(count):
            end = start + size + (1 if index < extra else 0)
            stacks.append(names[start:end])
            start = end
        if all(rows_height(train, stack) <= height_mm for stack in stacks):
            return stacks
    return [(name,) for name in names]


def _rows_sheet(proposal: Proposal, train: Train, number: int, names: tuple[str, ...]) -> Scene:
    rows, bottom = train_rows.train_rows(train, names, _MARGIN, _BODY)
    shown = tuple(
        p for p in train.positions if p.shaft in names or (p.shaft == DRIVER and train.driver_shaft in names)
    )
    return Scene(
        name=f"layout-train-{number}",
        width=train_rows.WIDTH + 2 * _MARGIN,
        height=bottom + _MARGIN,
        title=f"Machine layout of {_tag(proposal)}, {', '.join(names)}",
        description="Shafts seen from the side, the end that faces the driver on the left.",
        shapes=(_heading(_MARGIN, _TRAIN_TITLE), *rows),
        table=balloon_table(shown),
        balloons=balloons(shown),
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
    first, *others = shaft_lines(train, shaft)
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
    for number, position in enumerate(positions):
        y = top + 3 + number * 4.8
        shapes.append(list_row(position, _MARGIN, y, width - 2 * _MARGIN, 3.2))
    return Scene(
        name=f"shaft-{shaft}",
        width=width,
        height=top + len(positions) * 4.8 + _MARGIN,
        title=f"Measuring positions on {shaft} of {_tag(proposal)}",
        description="One shaft seen from the side, the end that faces the driver on the left.",
        shapes=tuple(shapes),
        table=balloon_table(positions),
        balloons=balloons(positions),
    )


def shaft_names(proposal: Proposal) -> tuple[str, ...]:
    """Return the shafts that have a drawing of their own, along the power flow."""
    drawn = [shaft.name for shaft in proposal.shafts if shaft.name != DRIVER]
    has_driver = bool(proposal.machine.get("driver"))
    return (DRIVER, *drawn) if has_driver else tuple(drawn)


def _shafts(train: Train) -> tuple[str, ...]:
    return tuple(shaft.name for shaft in train.shafts)


def _heading(x: float, text: str) -> Text:
    return Text(x, _MARGIN + 3.6, text, 3.4, weight="bold")


def _tag(proposal: Proposal) -> str:
    return str(proposal.machine.get("tag") or "the machine")


def _notes(train: Train, width: float, top: float) -> tuple[list[Shape], float]:
    """Return the notes at the foot of a sheet and the height of the sheet."""
    notes = [_GENERAL_NOTE]
    missing = [pinion.name for pinion in train.pinions if pinion.position_angle_deg is None]
    if missing:
        notes.append(f"Position angle not given, drawn at a usual place: {', '.join(missing)}.")
    if any(pinion.expander_stages for pinion in train.pinions):
        notes.append("A wheel with a double back plate is an expander.")
    lines = [line for note in notes for line in wrapped(note, 2.7, width - 2 * _MARGIN)]
    shapes: list[Shape] = [Text(_MARGIN, top + 3 + n * 4, line, 2.7) for n, line in enumerate(lines)]
    return shapes, top + len(lines) * 4 + _MARGIN
