"""The pulse of the phase reference: a notch too narrow or too shallow for the trigger."""

from __future__ import annotations

from collections.abc import Iterator
from math import pi

import numpy as np

from specapp.bench.excitation import Excitation
from specapp.bench.ground import Ground
from specapp.bench.scenario import Case, Scenario

__all__ = ["NOTCH"]

_TURNS = 6
_PER_PULSE = 40
_TIP_MM = 8.0
_PHASE = frozenset({"phase_reference"})


def _turning(ground: Ground, width_mm: float, depth_mm: float) -> Excitation:
    """Return the gap over some turns. The tip sees the mean over its own width: a ramp, a floor, a ramp."""
    function = ground.function
    assert function.notch_diameter_mm is not None
    events = int(function.notch.get("events_per_turn") or 1)
    turn_s = 1 / ground.speed_hz
    surface_mm_s = pi * function.notch_diameter_mm / turn_s
    rate = _PER_PULSE * surface_mm_s / max(width_mm, 1.0)
    places = np.arange(int(_TURNS * turn_s * rate))
    # Half an event before the first notch, so that none lies at an end.
    along_mm = (places / rate * surface_mm_s) % (surface_mm_s * turn_s / events)
    from_middle = np.abs(along_mm - surface_mm_s * turn_s / events / 2)
    least, most = min(width_mm, _TIP_MM), max(width_mm, _TIP_MM)
    overlap = np.clip((width_mm + _TIP_MM) / 2 - from_middle, 0, least) / _TIP_MM
    seen = np.minimum(overlap, least / _TIP_MM) if most > 0 else overlap
    return Excitation(rate, 1, 0.0, (1000 * depth_mm * seen).astype(np.float32)[None, :])


def _notch(ground: Ground) -> Iterator[Case]:
    notch = ground.function.notch
    width, depth = float(notch["width"]), float(notch["depth"])
    yield Case(
        "narrow",
        "count",
        width,
        "mm",
        "notch as deep as told, its width along the turn",
        lambda size: _turning(ground, size, depth),
    )
    yield Case(
        "shallow",
        "count",
        depth,
        "mm",
        "notch as wide as told, its depth",
        lambda size: _turning(ground, width, size),
    )


def _needs(ground: Ground) -> str | None:
    function = ground.function
    for name in ("width", "depth"):
        if not function.notch.get(name):
            return f"installation.notch.{name}"
    if not function.notch_diameter_mm:
        return function.speed_field.rpartition(".")[0] + ".journal_diameter"
    return None


NOTCH = Scenario(
    "notch",
    "Notch too narrow or too shallow",
    "The notch of the phase reference passes the tip at full speed; cable and input must still see every "
    "pulse "
    "high enough and long enough. The margin is the narrowest and the shallowest notch that counts.",
    _PHASE,
    _notch,
    _needs,
)
