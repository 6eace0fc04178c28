"""Setting units: the units in which setpoints are rounded and recorded, once and for good."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

# Binary noise such as 28.999999999999996 must not cost a whole step.
_NOISE = 1e-9


@lru_cache(maxsize=4096)
def _twelve_digits(value: float) -> float:
    return float(f"{value:.12g}")


@dataclass(frozen=True, slots=True)
class SettingUnit:
    """A unit with the step to which its setpoints are rounded.

    ``per_canonical`` and ``offset`` turn the canonical value (um, mm, mm/s, degC) into this unit.
    """

    unit: str
    step: float
    decimals: int
    per_canonical: float
    offset: float = 0.0

    def of(self, canonical: float) -> float:
        """Return a canonical value in this unit, unrounded, to twelve significant digits.

        Twelve digits keep the noise of a unit conversion out of the documents.
        """
        return _twelve_digits(canonical * self.per_canonical + self.offset)

    def canonical(self, value: float) -> float:
        """Return a value in this unit as the canonical value."""
        return (value - self.offset) / self.per_canonical

    def down(self, value: float) -> float:
        """Round a value in this unit toward zero to the step."""
        steps = math.floor(abs(value) / self.step + _NOISE)
        return math.copysign(round(steps * self.step, self.decimals), value)

    def finer(self) -> SettingUnit:
        """Return the same unit with a tenth of the step, for pairs that rounding would merge."""
        return SettingUnit(self.unit, self.step / 10, self.decimals + 1, self.per_canonical, self.offset)


@dataclass(frozen=True, slots=True)
class SettingUnits:
    """The setting units of one machine: shaft displacement, axial position, casing, temperature."""

    system: str
    displacement: SettingUnit
    axial: SettingUnit
    velocity: SettingUnit
    acceleration: SettingUnit
    temperature: SettingUnit
    speed: SettingUnit


_ACCELERATION = SettingUnit("g", 0.1, 1, 1.0)
_SPEED = SettingUnit("rpm", 1.0, 0, 1.0)

SI = SettingUnits(
    "si",
    SettingUnit("um", 1.0, 0, 1.0),
    SettingUnit("mm", 0.01, 2, 1.0),
    SettingUnit("mm/s", 0.1, 1, 1.0),
    _ACCELERATION,
    SettingUnit("degC", 1.0, 0, 1.0),
    _SPEED,
)
US = SettingUnits(
    "us",
    SettingUnit("mil", 0.05, 2, 1 / 25.4),
    SettingUnit("mil", 0.5, 1, 1 / 0.0254),
    SettingUnit("in/s", 0.005, 3, 1 / 25.4),
    _ACCELERATION,
    SettingUnit("degF", 1.0, 0, 1.8, 32.0),
    _SPEED,
)


def setting_units(system: str | None) -> SettingUnits:
    """Return the setting units of a machine; not told is SI."""
    return US if system == "us" else SI
