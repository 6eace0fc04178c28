"""Events of the thrust bearing: surge, wear to a wiped bearing, a probe wired or set with the wrong sign."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from specapp.bench.excitation import Excitation
from specapp.bench.ground import LEAD_S, Ground
from specapp.bench.scenario import Case, Scenario, excitation, expected_act, growing, tail_s

__all__ = ["POLARITY", "SURGE", "THRUST_WEAR"]

_AXIAL = frozenset({"axial_position"})
_SURGE_HZ, _SURGES = 1.2, 4
_WEAR_S = 3.0
_WIPED_MM = 2.5
_OVER = 1.15


def _surge(ground: Ground) -> Iterator[Case]:
    function = ground.function
    alarm = function.alarm if function.alarm is not None else function.level
    seconds = LEAD_S + _SURGES / _SURGE_HZ + tail_s(ground) / 2

    def build(size: float) -> Excitation:
        still = ground.still(seconds)
        times = ground.times(still.shape[1]) - LEAD_S
        surging = (times > 0) & (times < _SURGES / _SURGE_HZ)
        # The thrust turns over fast and comes back slowly: a wave with its second order.
        angle = 2 * np.pi * _SURGE_HZ * times
        wave = np.where(surging, np.sin(angle) + 0.25 * np.sin(2 * angle), 0.0).astype(np.float32)
        return excitation(ground, still + np.float32(1000 * size) * wave)

    yield Case(
        "surge cycles",
        "quiet",
        (function.float_mm / 2 + alarm) / 2,
        "mm",
        f"{_SURGES} surges at {_SURGE_HZ:g} Hz throw the rotor to and fro by",
        build,
        ("delay",),
        bounds="high",
    )


SURGE = Scenario(
    "surge_cycles",
    "Surge cycles on the axial channel",
    "The compressor surges and the rotor is thrown to and fro, to half way between the end of its float "
    "and the alarm: "
    "quiet, because surge is stopped by the surge control. The margin says how deep a surge would alarm "
    "or trip here.",
    _AXIAL,
    _surge,
)


def _wear(ground: Ground) -> Iterator[Case]:
    function = ground.function
    seconds = LEAD_S + _WEAR_S + tail_s(ground)

    def worn(size: float) -> Excitation:
        still = ground.still(seconds)
        envelope = growing(ground, still.shape[1], LEAD_S, _WEAR_S)
        return excitation(ground, still + np.float32(1000 * size) * envelope)

    yield Case(
        "wear",
        expected_act(function),
        2 * function.level,
        "mm",
        "the bearing wears until the rotor stands at",
        worn,
        ("voting",),
    )

    for name, side in (("wiped, away from the tips", 1.0), ("wiped, toward the tips", -1.0)):

        def wiped(size: float, side: float = side) -> Excitation:
            still = ground.still(LEAD_S + tail_s(ground) + 0.5)
            envelope = growing(ground, still.shape[1], LEAD_S, 0.03)
            return excitation(ground, still + np.float32(1000 * side * size) * envelope)

        yield Case(
            name,
            expected_act(function),
            _WIPED_MM,
            "mm",
            "the bearing is wiped in 0.03 s and both gaps leave their range, by",
            wiped,
            ("faults_trip",),
        )


THRUST_WEAR = Scenario(
    "thrust_wear",
    "Thrust wear to a wiped bearing",
    "The bearing wears past alarm and trip, or is wiped at once so that both gaps are out of range and "
    "read as "
    "circuit faults: it must trip either way.",
    _AXIAL,
    _wear,
)


def _polarity(ground: Ground) -> Iterator[Case]:
    function = ground.function
    seconds = LEAD_S + tail_s(ground)
    names = ["all legs swapped"] if ground.legs == 1 else ["all legs swapped", "one leg swapped"]
    for name in names:

        def build(size: float, name: str = name) -> Excitation:
            still = ground.still(seconds)
            signs = np.full((ground.legs, 1), -1.0, dtype=np.float32)
            if name != "all legs swapped":
                signs[1:] = 1.0
            envelope = growing(ground, still.shape[1], LEAD_S, 0.0)
            return excitation(ground, still + signs * np.float32(1000 * size) * envelope)

        yield Case(
            name,
            expected_act(function),
            _OVER * function.level,
            "mm",
            f"{name}, thrust in the active direction by",
            build,
            ("voting",),
        )


POLARITY = Scenario(
    "swapped_polarity",
    "Swapped thrust polarity",
    "The sign of the axial reading is swapped, on all legs or on one. The setpoints stand on both sides "
    "of zero, "
    "so it must still trip; the reading names the wrong side, which only the bump test of the float finds.",
    _AXIAL,
    _polarity,
)
