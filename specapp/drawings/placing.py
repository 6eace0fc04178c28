"""Put labels where there is room: along a line, in tiers, or at the first free of several places."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from specapp.drawings.scene import Text
from specapp.drawings.text_extent import Box, text_box


def spread(wanted: Sequence[float], sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Return centres as near the wanted ones as can be, in the given order, that do not overlap.

    Every item takes ``sizes[i]`` of the line from ``low`` to ``high``; the caller sees to it that the
    sizes fit together (see ``tiers``). Least squares: items that would meet, or that want to stand in
    another order, form a block centred on what they want (pooling of adjacent violators).
    """
    starts: list[float] = []
    offset = 0.0
    for size in sizes:
        starts.append(offset + size / 2)
        offset += size
    blocks: list[tuple[float, int]] = []
    for want, start in zip(wanted, starts, strict=True):
        mean, count = want - start, 1
        while blocks and blocks[-1][0] >= mean:
            before, number = blocks.pop()
            mean, count = (before * number + mean * count) / (number + count), number + count
        blocks.append((mean, count))
    shifts = [min(max(mean, low), high - offset) for mean, count in blocks for _ in range(count)]
    return [shift + start for shift, start in zip(shifts, starts, strict=True)]


def tiers(count: int, size: float, length: float) -> int:
    """Return how many rows are needed for items of one size along a line of the given length."""
    capacity = max(1, int(length / size + 1e-9))
    return -(-count // capacity)


class Occupied:
    """The boxes already taken on a sheet."""

    def __init__(self, width_mm: float, height_mm: float, boxes: Iterable[Box] = ()) -> None:
        self._width = width_mm
        self._height = height_mm
        self._boxes = list(boxes)

    def take(self, box: Box) -> None:
        self._boxes.append(box)

    def is_free(self, box: Box, clearance_mm: float = 0.3) -> bool:
        return box.inside(self._width, self._height) and not any(
            box.overlaps(other, clearance_mm) for other in self._boxes
        )

    def first_free(self, candidates: Iterable[Text]) -> Text | None:
        """Return the first of the texts that meets nothing, and take its place; None if all do."""
        for text in candidates:
            box = text_box(text)
            if self.is_free(box):
                self.take(box)
                return text
        return None
