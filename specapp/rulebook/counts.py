"""Whole numbers of things from shares and lengths."""

from __future__ import annotations

import math

_PERCENT = 100.0
# Binary noise such as 4.000000000000001 must not cost a whole piece.
_DECIMALS_KEPT = 9


def whole_up(value: float) -> int:
    """Return the next whole number at or above a value."""
    return math.ceil(round(value, _DECIMALS_KEPT))


def share_up(count: int, percent: float) -> int:
    """Return a percentage of a count, rounded up to whole pieces."""
    return whole_up(count * percent / _PERCENT)
