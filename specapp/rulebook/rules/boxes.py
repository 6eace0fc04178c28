"""Junction boxes: which points share one, and how many terminals it needs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from specapp.domain.proposal import JunctionBox
from specapp.rulebook.area_needs import INTRINSICALLY_SAFE
from specapp.rulebook.context import Assign, Context, PointDraft
from specapp.rulebook.counts import share_up
from specapp.rulebook.registry import Phase, rule
from specapp.rulebook.wiring import cable_kind

GEAR_CASING = "gear casing"
DRIVER = "driver"

# Wires of a field cable at the box, the shield among them.
_TERMINALS = {"triad": 4, "pair": 3}
_TEMPERATURES = ("bearing_temperature", "winding_temperature")


@dataclass(slots=True)
class _Box:
    side: int | None
    points: list[PointDraft] = field(default_factory=list)


def casing_of(point: PointDraft) -> str:
    """Return the casing a point belongs to: the whole gear casing is one, the driver another."""
    return DRIVER if point.shaft.kind == "driver" else GEAR_CASING


def _purpose(point: PointDraft) -> str:
    if point.quantity in _TEMPERATURES:
        return "temperature"
    return "overspeed" if point.quantity == "overspeed" else "vibration and position"


def _side(group: list[PointDraft]) -> int | None:
    bearing = group[0].bearing
    return None if bearing is None else bearing.side


@rule(id="ARC-BOX-010", title="Junction boxes", phase=Phase.ARCHITECTURE)
def junction_boxes(ctx: Context) -> Iterator[JunctionBox | Assign]:
    """Short probe leads end at the machine; boxes by casing, side and kind keep work on one from another."""
    kinds: dict[tuple[str, str, bool], list[list[PointDraft]]] = {}
    for group in ctx.groups.values():
        first = group[0]
        kind = (casing_of(first), _purpose(first), first.protection in INTRINSICALLY_SAFE)
        kinds.setdefault(kind, []).append(group)
    number = 0
    positions = int(ctx.criteria.value("box.positions"))
    for (casing, purpose, _), groups in kinds.items():
        for box in _filled(groups, positions):
            number += 1
            yield from _box(ctx, f"JB-{number}", casing, purpose, box)


def _box(ctx: Context, key: str, casing: str, purpose: str, box: _Box) -> Iterator[JunctionBox | Assign]:
    why = ctx.why()
    positions = int(why.criterion("box.positions"))
    terminals = sum([_TERMINALS[cable_kind(point)] for point in box.points])
    spare = share_up(terminals, why.criterion("box.spare_terminal_percent"))
    where = casing if box.side is None else f"{casing}, side {box.side}"
    reason = why.say(
        f"{key}, {where}, {purpose}: {len(box.points)} of {positions} positions, "
        f"{terminals} terminals and {spare} spare."
    )
    keys = tuple([point.key for point in box.points])
    yield JunctionBox(key, keys, positions, purpose, casing, box.side, terminals, spare)
    yield Assign(box.points, {"junction_box": key}, reason)


def _filled(groups: list[list[PointDraft]], positions: int) -> list[_Box]:
    """Return filled boxes: one for all where all fit, else each for one side of the casing.

    Voting groups stay together where they fit into a box at all. A group of no side (axial, phase)
    goes where there is room.
    """
    if sum(map(len, groups)) <= positions:
        return [_Box(None, [point for group in groups for point in group])]
    boxes: list[_Box] = []
    for group in sorted(groups, key=lambda each: _side(each) or math.inf):
        parts = [group] if len(group) <= positions else [[point] for point in group]
        for part in parts:
            side, most = _side(part), positions - len(part)
            for box in boxes:
                if len(box.points) <= most and (side is None or box.side == side):
                    break
            else:
                box = _Box(side or 1)
                boxes.append(box)
            box.points.extend(part)
    return boxes
