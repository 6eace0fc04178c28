"""What stands around each rack: links that come in on its left, links that leave on its right."""

from __future__ import annotations

from dataclasses import dataclass, field

from specapp.domain.proposal import Architecture, Interface
from specapp.drawings.boxes import Caption, box, cable, cable_height
from specapp.drawings.scene import Group, Shape

_COMING = 32.0
_LINE = 31.0
_CENTRE = 26.0
_LEAVING = 35.0
_BETWEEN_ROWS = 1.6
_BETWEEN_BLOCKS = 5.0


@dataclass(frozen=True, slots=True)
class _Link:
    """One link seen from the block: its key and words, the box at its far end, the words on its line."""

    key: str
    spoken: str
    far: Caption
    words: str


@dataclass(slots=True)
class _Block:
    name: str
    coming: list[_Link] = field(default_factory=list)
    leaving: list[_Link] = field(default_factory=list)


def link_blocks(
    architecture: Architecture, top: float, left: float, right: float
) -> tuple[list[Shape], float]:
    """Return a block for each rack and each other system with links, side by side, and their foot."""
    blocks = _blocks(architecture)
    inlet = _COMING + _LINE if any(block.coming for block in blocks) else 0.0
    columns = max(1, int((right - left) / (inlet + _CENTRE + _LINE + _LEAVING)))
    pitch = (right - left) / columns
    heights = [top] * columns
    shapes: list[Shape] = []
    for block in blocks:
        column = heights.index(min(heights))
        drawn, foot = _drawn(block, left + column * pitch + inlet, heights[column])
        shapes += drawn
        heights[column] = foot + _BETWEEN_BLOCKS
    return shapes, max(heights)


def _blocks(architecture: Architecture) -> list[_Block]:
    blocks = {rack.key: _Block(rack.key) for rack in architecture.racks}
    for rack in architecture.racks:
        supply = Caption(f"{rack.power_supplies} × power supply")
        told = f"{supply.head}, each able to carry all of {rack.key}"
        blocks[rack.key].coming.append(_Link(rack.key, told, supply, "each carries all"))
    for interface in architecture.interfaces:
        start, end = interface.between
        words = _words(interface)
        if start not in blocks and end in blocks:
            blocks[end].coming.append(_Link(interface.key, interface.text, _far(start), words))
        else:
            block = blocks.setdefault(start, _Block(start))
            block.leaving.append(_Link(interface.key, interface.text, _far(end), words))
    return [block for block in blocks.values() if block.coming or block.leaving]


def _far(name: str) -> Caption:
    return Caption(name.replace("_", " "))


def _words(interface: Interface) -> str:
    """Return the kind of a link, a contact by what it is for, and its direction."""
    kind = interface.kind.replace("_", " ")
    if kind == "contact":
        kind = f"{interface.key.rpartition('/')[2].replace('_', ' ')} contact"
    told = "" if interface.direction == "to" else f", {interface.direction.replace('_', ' ')}"
    return kind + told


def _drawn(block: _Block, middle: float, top: float) -> tuple[list[Shape], float]:
    centre = _far(block.name)
    coming = [_height(link, _COMING) for link in block.coming]
    leaving = [_height(link, _LEAVING) for link in block.leaving]
    tall = max(centre.height(_CENTRE), *(_stacked(rows) for rows in (coming, leaving)))
    shapes: list[Shape] = [
        Group(block.name, centre.spoken, box(centre, middle, top + tall / 2, _CENTRE, tall))
    ]
    for link, y in zip(block.coming, _middles(coming, top, tall), strict=True):
        start = middle - _LINE
        parts = (*box(link.far, start - _COMING, y, _COMING), *cable(link.words, start, middle, y))
        shapes.append(Group(link.key, link.spoken, parts))
    start, end = middle + _CENTRE, middle + _CENTRE + _LINE
    for link, y in zip(block.leaving, _middles(leaving, top, tall), strict=True):
        parts = (*cable(link.words, start, end, y), *box(link.far, end, y, _LEAVING))
        shapes.append(Group(link.key, link.spoken, parts))
    return shapes, top + tall


def _height(link: _Link, width: float) -> float:
    return max(link.far.height(width), 2 * cable_height(link.words, _LINE))


def _stacked(heights: list[float]) -> float:
    return sum(heights) + _BETWEEN_ROWS * max(len(heights) - 1, 0)


def _middles(heights: list[float], top: float, tall: float) -> list[float]:
    y = top + (tall - _stacked(heights)) / 2
    found = []
    for height in heights:
        found.append(y + height / 2)
        y += height + _BETWEEN_ROWS
    return found
