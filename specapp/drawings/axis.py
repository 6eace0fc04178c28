"""Linear and logarithmic axes: where a value lies on the sheet and which ticks to draw."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, floor, log10


@dataclass(frozen=True, slots=True)
class Axis:
    """Values ``low`` to ``high`` laid from ``left`` to ``right`` mm; values outside go to the ends."""

    low: float
    high: float
    left: float
    right: float
    logarithmic: bool = False

    def at(self, value: float) -> float:
        low, high, value = (self._scaled(v) for v in (self.low, self.high, value))
        share = (value - low) / (high - low) if high > low else 0.0
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    def holds(self, value: float) -> bool:
        return self.low <= value <= self.high

    def _scaled(self, value: float) -> float:
        return log10(max(value, 1e-9)) if self.logarithmic else value


def round_ticks(low: float, high: float, wanted: int = 8) -> tuple[float, ...]:
    """Return round values within a range, about as many as wanted, in steps of 1, 2 or 5."""
    span = high - low
    if span <= 0:
        return (low,)
    raw = span / wanted
    power = 10.0 ** floor(log10(raw))
    step = next((m * power for m in (1.0, 2.0, 5.0) if m * power >= raw - 1e-12), 10.0 * power)
    return tuple(round(n * step, 10) for n in range(ceil(low / step - 1e-9), floor(high / step + 1e-9) + 1))


def decade_ticks(low: float, high: float) -> tuple[float, ...]:
    """Return the powers of ten within a range."""
    return tuple(10.0**n for n in range(ceil(log10(low) - 1e-9), floor(log10(high) + 1e-9) + 1))


def decades_around(
    values: tuple[float, ...], default: tuple[float, float] = (1.0, 1e4)
) -> tuple[float, float]:
    """Return the whole decades that hold the values."""
    if not values:
        return default
    low, high = 10.0 ** floor(log10(min(values))), 10.0 ** ceil(log10(max(values)))
    return low, high if high > low else low * 10
