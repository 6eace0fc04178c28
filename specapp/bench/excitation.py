"""What reaches the transducers in one case: movement, injected voltage, broken wires."""

from __future__ import annotations

from dataclasses import dataclass

from specapp.bench.filters import Signal


@dataclass(frozen=True, slots=True)
class Forced:
    """A leg whose voltage is not the transducer's from `start_s` to `stop_s` on the bench's clock."""

    leg: int
    start_s: float
    stop_s: float
    volts: float


@dataclass(frozen=True, slots=True)
class Excitation:
    """A case ready for the chain.

    Parameters
    ----------
    rate_hz : float
        Sampling rate of `signal` [Hz], high enough to stand for an analogue signal.
    block : int
        Samples of one step of the logic, about 2.5 ms of a dynamic signal.
    onset_s : float
        Begin of the disturbance on the bench's clock [s].
    signal : ndarray, shape (legs, n)
        um for proximity probes, positive away from the tip (axial: active direction); m/s2 for
        accelerometers; degC; rpm.
    volts : ndarray, shape (legs, n), or None
        Voltage injected behind the transducer [V].
    forced : tuple of Forced
        Broken or shorted wires, lost supplies.
    armed_until_s : float
        End of the multiplier on the bench's clock [s]; 0 where it is not armed.
    scale_ratio : float
        True scale factor over the one that the chain takes.
    gap_offset_mm : float
        How far from mid gap the probe was set [mm], positive away from the tip.
    sample_rate_hz : float or None
        Sampling rate of the device where the case asks for one of its own.
    """

    rate_hz: float
    block: int
    onset_s: float
    signal: Signal
    volts: Signal | None = None
    forced: tuple[Forced, ...] = ()
    armed_until_s: float = 0.0
    scale_ratio: float = 1.0
    gap_offset_mm: float = 0.0
    sample_rate_hz: float | None = None
