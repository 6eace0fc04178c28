"""The undisturbed signal of a function, and the shapes that disturbances are built from. Seeded.

A steady rotor repeats itself every turn: one turn is calculated and laid end to end, with as many samples a
turn as the highest order needs. What is not locked to the turn (bull-gear 1X on a pinion, whirl) is turned
on by the angle of a block and of a sample within it, two short tables instead of a sine a sample.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from math import ceil, pi, sqrt
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from specapp.bench.filters import Signal
from specapp.bench.functions import Function
from specapp.bench.settings import DeviceSettings

__all__ = ["Ground", "peak_to_peak"]

LEAD_S = 0.6  # undisturbed running before the onset: longer than every detector looks back
_BLOCK_S = 0.0025
_LEAST_RATE_HZ = 8000.0
_MOST_FOR_MESH_HZ = 18_000.0  # beyond, the 4 kHz band of the channel leaves nothing of it
_CASING_RATE_HZ = 51_200.0
_AXIAL_RATE_HZ = 2000.0
_ELEMENT_RATE_HZ = 20.0
_SPEED_RATE_HZ = 200.0
_PER_TURN = 32
_SECOND_LEG = 0.85  # the orbit is an ellipse
_SHARES = ((2, 0.12, 0.8), (3, 0.04, 2.1))  # order, share of the 1X, phase
_RUNOUT_ORDERS = ((1, 0.6, 1.0), (2, 0.25, 0.3), (5, 0.15, 2.0))
_BULL_GEAR_SHARE = 0.05
_MESH_UM = 0.05
_NOISE_UM = 0.1
_DRIFT_UM, _DRIFT_S = 4.0, 20.0
_MESH_M_S2 = 20.0
_SECOND_ROTOR_SHARE = 0.4


def peak_to_peak(values: Signal) -> float:
    """Return the largest minus the smallest value."""
    return float(values.max() - values.min())


class Ground:
    """The signal of one function while nothing happens, and rates and shapes to disturb it with."""

    def __init__(self, function: Function, settings: DeviceSettings, seed: int) -> None:
        self.function = function
        self.settings = settings
        # The seed of a function does not depend on which others are tried with it.
        self._seed = (seed, crc32(function.key.encode()))
        self._noise: Signal | None = None
        self._still: dict[int, Signal] = {}

    def random(self, purpose: str) -> np.random.Generator:
        """Return a generator for one purpose, the same at every call."""
        return np.random.default_rng((*self._seed, crc32(purpose.encode())))

    @property
    def legs(self) -> int:
        return len(self.function.points)

    @property
    def speed_hz(self) -> float:
        assert self.function.speed_hz is not None
        return self.function.speed_hz

    @cached_property
    def per_turn(self) -> int:
        """Samples a turn of a radial signal: the mesh twice over and more, as far as the channel's band
        asks."""
        mesh = min(2.56 * (self.function.mesh_hz or 0.0), _MOST_FOR_MESH_HZ)
        return ceil(max(_LEAST_RATE_HZ, _PER_TURN * self.speed_hz, mesh) / self.speed_hz)

    @cached_property
    def rate_hz(self) -> float:
        quantity = self.function.quantity
        if quantity == "radial_vibration":
            return self.per_turn * self.speed_hz
        if quantity == "casing_vibration":
            return min(max(2.56 * (self.function.mesh_hz or 0.0), _LEAST_RATE_HZ), _CASING_RATE_HZ)
        if quantity == "axial_position":
            return _AXIAL_RATE_HZ
        return _SPEED_RATE_HZ if quantity == "overspeed" else _ELEMENT_RATE_HZ

    @cached_property
    def block(self) -> int:
        if self.function.quantity == "radial_vibration" and 2 * _BLOCK_S * self.speed_hz >= 1:
            # Whole turns: their mean is free of the 1X, which would otherwise fold into the mean that is
            # left out.
            return self.per_turn * max(1, round(_BLOCK_S * self.speed_hz))
        if self.function.quantity in ("radial_vibration", "axial_position", "casing_vibration"):
            return max(1, round(_BLOCK_S * self.rate_hz))
        return 1

    def count(self, seconds: float) -> int:
        """Return how many samples a time takes; radial signals in whole turns."""
        if self.function.quantity == "radial_vibration":
            return ceil(seconds * self.speed_hz) * self.per_turn
        return ceil(seconds * self.rate_hz)

    def times(self, count: int) -> NDArray[np.float64]:
        return np.arange(count) / self.rate_hz

    def noise(self, count: int) -> Signal:
        """Return white noise of unit r.m.s., shape (legs, count), the begin of one long record."""
        if self._noise is None or self._noise.shape[1] < count:
            self._noise = self.random("noise").standard_normal((self.legs, count), dtype=np.float32)
        return self._noise[:, :count]

    def still(self, seconds: float) -> Signal:
        """Return the undisturbed signal, shape (legs, n): um, m/s2, degC or rpm. Not to be written into."""
        count = self.count(seconds)
        longest = max(self._still, default=0)
        if longest >= count:
            return self._still[longest][:, :count]
        quantity = self.function.quantity
        if quantity == "radial_vibration":
            made = self._radial(count)
        elif quantity == "casing_vibration":
            made = self._casing(count)
        elif quantity == "axial_position":
            made = self._axial(count)
        elif quantity == "overspeed":
            made = np.float32(self.speed_hz * 60) * (1 + np.float32(5e-4) * self.noise(count))
        else:
            made = np.float32(self.function.normal) + np.float32(0.05) * self.noise(count)
        self._still = {count: made}
        return made

    # Radial

    @cached_property
    def orbit(self) -> Signal:
        """Return one turn of pure 1X of unit amplitude on each leg, shape (legs, samples a turn)."""
        return self.turn(((1, 1.0, 0.0),))

    def turn(self, orders: Sequence[tuple[int, float, float]], turns: int = 1) -> Signal:
        """Return orders (number, amplitude, phase) over whole turns; the second leg lags and is smaller.

        An order counts cycles in all the turns together, so that halves can be said.
        """
        angle = 2 * pi * np.arange(turns * self.per_turn) / (turns * self.per_turn)
        made = np.zeros((self.legs, angle.size))
        for leg in range(self.legs):
            for order, amplitude, phase in orders:
                lag = leg * pi / 2 * order / turns
                size = amplitude * (_SECOND_LEG if leg else 1.0)
                made[leg] += size * np.cos(order * angle + phase - lag)
        return made.astype(np.float32)

    @cached_property
    def still_turn(self) -> Signal:
        """Return one turn of the undisturbed movement that is locked to the turn: 1X, orders, mesh,
        runout."""
        function = self.function
        runout = self.runout_turn
        orders = [(1, 1.0, 0.0), *_SHARES]
        mesh = (function.mesh_hz or 0.0) / self.speed_hz
        turn = self.turn(orders)
        if 0 < mesh < self.per_turn / 2.2 and abs(mesh - round(mesh)) < 1e-3:
            turn = turn + self.turn(((round(mesh), _MESH_UM / max(function.normal / 2, 1e-6), 0.0),))
        # The level told of a running machine holds its runout; the rotor's own movement is what is left.
        low, high = 0.0, max(function.normal, 0.1)
        if peak_to_peak(runout[0]) >= function.normal:
            return np.asarray(runout * (function.normal / peak_to_peak(runout[0])), dtype=np.float32)
        for _ in range(30):
            middle = (low + high) / 2
            if peak_to_peak(runout[0] + middle * turn[0]) < function.normal:
                low = middle
            else:
                high = middle
        return np.asarray(runout + low * turn, dtype=np.float32)

    @cached_property
    def runout_turn(self) -> Signal:
        """Return one turn of the electrical and mechanical runout of the track [um]."""
        shape = self.turn(_RUNOUT_ORDERS)
        size = min(self.function.runout_um, 0.5 * self.function.normal)
        return np.asarray(shape * (size / peak_to_peak(shape[0])), dtype=np.float32)

    def laid_out(self, turn: Signal, count: int) -> Signal:
        """Return whole turns laid end to end, shape (legs, count)."""
        return np.tile(turn, (1, ceil(count / turn.shape[1])))[:, :count]

    def rotor(self, frequency_hz: float, count: int) -> Signal:
        """Return a sinusoid of unit amplitude that need not be locked to the turn, shape (legs, count)."""
        inner = 256
        outer = ceil(count / inner)
        step = 2 * pi * frequency_hz / self.rate_hz
        fine = step * np.arange(inner)
        cosine, sine = np.cos(fine).astype(np.float32), np.sin(fine).astype(np.float32)
        made = np.empty((self.legs, outer * inner), dtype=np.float32)
        for leg in range(self.legs):
            coarse = step * inner * np.arange(outer) - leg * pi / 2
            turned = np.outer(np.cos(coarse).astype(np.float32), cosine)
            turned -= np.outer(np.sin(coarse).astype(np.float32), sine)
            made[leg] = turned.reshape(-1) * (_SECOND_LEG if leg else 1.0)
        return made[:, :count]

    def resting(self, seconds: float) -> Signal:
        """Return the signal of a shaft at rest: noise alone [um]."""
        return np.float32(_NOISE_UM) * self.noise(self.count(seconds))

    def _drift(self, count: int) -> Signal:
        per_block = np.sin(2 * pi * np.arange(0, count, self.block) / self.rate_hz / _DRIFT_S)
        return np.repeat((_DRIFT_UM * per_block).astype(np.float32), self.block)[:count]

    def _radial(self, count: int) -> Signal:
        made = self.laid_out(self.still_turn, count)
        made += np.float32(_NOISE_UM) * self.noise(count)
        if self.function.bull_gear_hz:
            share = np.float32(_BULL_GEAR_SHARE * self.function.normal / 2)
            made += share * self.rotor(self.function.bull_gear_hz, count)
        made += self._drift(count)
        return made

    # Axial, casing

    def _axial(self, count: int) -> Signal:
        made = np.float32(2.0) * self.rotor(self.speed_hz, count)
        made += np.float32(_NOISE_UM) * self.noise(count)
        made += self._drift(count)
        return made

    def acceleration(self, velocity_rms_mm_s: float, frequency_hz: float) -> float:
        """Return the amplitude of the acceleration of a sinusoidal velocity [m/s2]."""
        return velocity_rms_mm_s * sqrt(2) / 1000 * 2 * pi * frequency_hz

    @property
    def casing_rotor_hz(self) -> float:
        """Return the rotation that is disturbed: within the band of the velocity reading."""
        return min(self.speed_hz, self.settings.casing_high_hz / 2)

    def _casing(self, count: int) -> Signal:
        normal = self.function.normal
        slow = self.acceleration(normal, self.casing_rotor_hz)
        made = np.float32(slow) * self.rotor(self.casing_rotor_hz, count)
        fast_hz = 8 * self.casing_rotor_hz
        if fast_hz < self.settings.casing_high_hz:
            fast = self.acceleration(_SECOND_ROTOR_SHARE * normal, fast_hz)
            made += np.float32(fast) * self.rotor(fast_hz, count)
        if self.function.mesh_hz and self.function.mesh_hz < self.rate_hz / 2.2:
            made += np.float32(_MESH_M_S2) * self.rotor(self.function.mesh_hz, count)
        made += np.float32(0.5) * self.noise(count)
        return made
