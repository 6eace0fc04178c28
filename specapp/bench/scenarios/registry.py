"""Every scenario of the bench, in the order of the page."""

from __future__ import annotations

from typing import Final

from specapp.bench.scenario import Scenario
from specapp.bench.scenarios.axial import POLARITY, SURGE, THRUST_WEAR
from specapp.bench.scenarios.circuits import CROSS_TALK, LOSS_OF_SIGNAL, POWER_DIP, SPIKES
from specapp.bench.scenarios.notch import NOTCH
from specapp.bench.scenarios.rises import SLOW_RISE, STEP, TIP_SATURATION, WRONG_ALLOY
from specapp.bench.scenarios.rotor import RUB, SAMPLING, START, WHIRL

__all__ = ["SCENARIOS", "scenario"]

SCENARIOS: Final[tuple[Scenario, ...]] = (
    STEP,
    SLOW_RISE,
    START,
    SPIKES,
    LOSS_OF_SIGNAL,
    CROSS_TALK,
    SAMPLING,
    WRONG_ALLOY,
    WHIRL,
    RUB,
    SURGE,
    THRUST_WEAR,
    POWER_DIP,
    POLARITY,
    TIP_SATURATION,
    NOTCH,
)
_BY_KEY: Final = {each.key: each for each in SCENARIOS}


def scenario(key: str) -> Scenario:
    """Return the scenario of a key. Raises KeyError."""
    return _BY_KEY[key]
