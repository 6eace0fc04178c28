"""From what reaches the transducers to what the channel reads, on steps of a few milliseconds.

Probe: curve, cable, sampling, band, true peak to peak or mean, spike rejection, gap supervision.
Accelerometer:
supply, sampling, integration, band, r.m.s. Elements and speed sensors: range and rate. Transmitters add their
damping, their range and the scan of the control system.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from specapp.bench.excitation import Excitation
from specapp.bench.filters import Signal, blocks, low_pass, moving_maximum, moving_mean, run_lengths
from specapp.bench.functions import Function
from specapp.bench.settings import DeviceSettings

__all__ = ["Detected", "detect", "gap_volts"]

# Beyond the straight line the far end flattens to half its slope and ends 2 V short of the supply.
_FAR_SLOPE = 0.5
_FAR_END_V = 2.0
_STANDARD_GRAVITY = 9.80665
_BIAS_V, _BIAS_LOW_V, _BIAS_HIGH_V, _BIAS_SUPPLY_V = 12.0, 3.0, 21.0, 24.0
_ELEMENT_OPEN, _ELEMENT_SHORT = 850.0, -200.0
_MEDIAN = 9
_TWO_POLES = (2**0.5 - 1) ** 0.5
_MA_HIGH_SHARE = (20.5 - 4) / 16


@dataclass(frozen=True, slots=True)
class Detected:
    """What a channel has at every step: arrays of shape (legs, steps), the step in seconds.

    ``reading`` is in the unit of the model; ``high`` and ``low`` bound the raw signal (um about its mean,
    volts
    for axial position, m/s2 for casings). ``lost`` says that a circuit is faulted now, ``faulted`` that a
    leg is out of the vote,
    which it stays for a while after its circuit has healed.
    """

    step_s: float
    reading: Signal
    high: Signal
    low: Signal
    lost: NDArray[np.bool_]
    faulted: NDArray[np.bool_]


def detect(function: Function, settings: DeviceSettings, excitation: Excitation) -> Detected:
    """Return what the channels of a function read."""
    if function.quantity in ("radial_vibration", "axial_position"):
        found = _probe(function, settings, excitation)
    elif function.quantity == "casing_vibration":
        found = _accelerometer(function, settings, excitation)
    else:
        found = _slow(function, settings, excitation)
    if function.chain != "transmitter":
        return found
    return _transmitted(function, settings, found)


def gap_volts(
    displacement_um: Signal, settings: DeviceSettings, scale_ratio: float = 1.0, offset_mm: float = 0.0
) -> Signal:
    """Return the output of an oscillator-demodulator.

    Parameters
    ----------
    displacement_um : ndarray, shape (..., n)
        Movement from where the probe was set [um], positive away from the tip.
    settings : DeviceSettings
        Scale factor, gap set, linear range, supply.
    scale_ratio : float
        True scale factor over the nominal one.
    offset_mm : float
        Where the probe was set, from mid gap [mm].

    Returns
    -------
    ndarray, shape (..., n)
        Voltage [V]: straight within the linear range about mid gap, down to contact on the near side, half
        as steep beyond the far end and level 2 V short of the supply.

    Notes
    -----
    Source: shape of the curve common practice, scale factor API 670 (from memory).
    Checked: tests/bench/test_chain.py, against kernel.probes.
    """
    slope = settings.scale_factor_v_per_mm * scale_ratio / 1000
    near_um = -1000 * (settings.mid_gap_mm + offset_mm)
    far_um = 1000 * (settings.linear_range_mm / 2 - offset_mm)
    start_v = settings.gap_set_v - slope * 1000 * offset_mm
    least, most = float(displacement_um.min()), float(displacement_um.max())
    straight = (
        displacement_um if least >= near_um and most <= far_um else displacement_um.clip(near_um, far_um)
    )
    volts = straight * np.float32(-slope)
    volts += np.float32(start_v)
    if most > far_um:
        end_v = settings.supply_v + _FAR_END_V
        beyond = (displacement_um - np.float32(far_um)).clip(0, None)
        volts -= np.float32(slope * _FAR_SLOPE) * beyond
        np.maximum(volts, np.float32(end_v), out=volts)
    return np.asarray(volts, dtype=np.float32)


def _forced(values: Signal, excitation: Excitation, rate_hz: float) -> Signal:
    for each in excitation.forced:
        first, last = round(each.start_s * rate_hz), round(each.stop_s * rate_hz)
        values[each.leg, first:last] = each.volts
    return values


def _sampled(
    values: Signal, rate_hz: float, block: int, device_hz: float | None
) -> tuple[Signal, float, int]:
    """Return the samples of a device that takes them at its own rate, its rate and its block."""
    if device_hz is None or device_hz >= rate_hz:
        return values, rate_hz, block
    count = int((values.shape[-1] - 1) * device_hz / rate_hz)
    places = np.arange(count) * (rate_hz / device_hz)
    whole = places.astype(np.int64)
    share = (places - whole).astype(np.float32)
    taken = values[..., whole] * (1 - share) + values[..., whole + 1] * share
    return taken, device_hz, max(1, round(block * device_hz / rate_hz))


def _in_blocks(values: Signal, block: int) -> Signal:
    count = values.shape[-1] // block
    return values[..., : count * block].reshape(values.shape[0], count, block)


def _supervised(
    bad: NDArray[np.bool_], settings: DeviceSettings, step_s: float
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return when a circuit is faulted, bad for long enough, and when its leg is out of the vote."""
    if not bad.any():
        return bad, bad
    lost = run_lengths(bad) >= blocks(settings.fault_confirm_s, step_s)
    kept = blocks(settings.fault_return_s, step_s) if settings.fault_return_s else 1
    return lost, moving_maximum(lost.astype(np.float32), kept) > 0


def _probe(function: Function, settings: DeviceSettings, excitation: Excitation) -> Detected:
    volts = gap_volts(excitation.signal, settings, excitation.scale_ratio, excitation.gap_offset_mm)
    if excitation.volts is not None:
        volts += excitation.volts
        np.clip(volts, settings.supply_v, 0, out=volts)
    rate, block = excitation.rate_hz, excitation.block
    volts = _forced(volts, excitation, rate)
    if settings.cable_bandwidth_hz is not None:
        volts = low_pass(volts, settings.cable_bandwidth_hz, rate)
    device = excitation.sample_rate_hz or settings.sample_rate_hz
    volts, rate, block = _sampled(volts, rate, block, device)
    step = block / rate
    per_um = np.float32(-1000 / settings.scale_factor_v_per_mm)
    if function.quantity == "axial_position":
        raw = _in_blocks(volts, block)
        gap = raw.mean(axis=2, dtype=np.float32)
        bad = (gap > settings.fault_near_v) | (gap < settings.fault_far_v)
        zero = settings.gap_set_v - settings.scale_factor_v_per_mm * excitation.gap_offset_mm
        smooth = low_pass(gap, settings.axial_band_hz, 1 / step)
        reading = ((smooth - np.float32(zero)) * (per_um / 1000)).astype(np.float32)
        return Detected(step, reading, raw.max(axis=2), raw.min(axis=2), *_supervised(bad, settings, step))
    gap = _in_blocks(volts, block).mean(axis=2, dtype=np.float32)
    bad = (gap > settings.fault_near_v) | (gap < settings.fault_far_v)
    raw = _in_blocks(low_pass(volts, settings.band_high_hz, rate), block)
    least, most = raw.min(axis=2), raw.max(axis=2)
    high, low = _about_mean(gap, least, most, settings, step)
    spiky = _is_spiky(high, low, settings, step)
    if spiky.any():
        # A spike must not move the mean that it is measured from: the mean is taken of what is left without
        # it.
        high, low = _about_mean(_without_spikes(gap), least, most, settings, step)
        spiky = _is_spiky(high, low, settings, step)
    reading = _peak_to_peak(high, low, spiky, settings, step)
    return Detected(step, reading, high, low, *_supervised(bad, settings, step))


def _about_mean(
    gap: Signal, least: Signal, most: Signal, settings: DeviceSettings, step_s: float
) -> tuple[Signal, Signal]:
    """Return the outermost and innermost position in every step about the mean that the band leaves out [um].

    Volts fall as the gap opens: the lowest voltage is the outermost position.
    """
    base = low_pass(gap, settings.band_low_hz, 1 / step_s)
    per_um = np.float32(-1000 / settings.scale_factor_v_per_mm)
    return (least - base) * per_um, (most - base) * per_um


def _without_spikes(gap: Signal) -> Signal:
    """Return the median of each step and its neighbours, which no short spike moves."""
    padded = np.pad(gap, ((0, 0), (_MEDIAN // 2, _MEDIAN // 2)), mode="edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, _MEDIAN, axis=1)
    return np.asarray(np.partition(windows, _MEDIAN // 2, axis=2)[:, :, _MEDIAN // 2], dtype=np.float32)


def _sides(high: Signal, low: Signal, settings: DeviceSettings, step_s: float) -> tuple[Signal, Signal]:
    window = blocks(settings.detector_window_s, step_s)
    return moving_maximum(high, window).clip(0, None), moving_maximum(-low, window).clip(0, None)


def _is_spiky(high: Signal, low: Signal, settings: DeviceSettings, step_s: float) -> NDArray[np.bool_]:
    """Return when one side of the signal is far above the other."""
    if not settings.spike_rejection:
        return np.zeros(high.shape, dtype=np.bool_)
    above, below = _sides(high, low, settings, step_s)
    ratio = np.float32(settings.spike_ratio)
    return np.asarray(np.maximum(above, below) > ratio * np.minimum(above, below))


def _peak_to_peak(
    high: Signal, low: Signal, spiky: NDArray[np.bool_], settings: DeviceSettings, step_s: float
) -> Signal:
    """Return the true peak to peak of the detector's window, one-sided spikes set back.

    Where one side of the signal is far above the other, twice the smaller side is taken, until that has
    lasted so long that it is believed. A vibration grows on both sides and is never set back.
    """
    above, below = _sides(high, low, settings, step_s)
    whole = above + below
    if not spiky.any():
        return whole
    believed = run_lengths(spiky) > blocks(settings.spike_hold_s, step_s)
    return np.where(spiky & ~believed, 2 * np.minimum(above, below), whole)


def _accelerometer(function: Function, settings: DeviceSettings, excitation: Excitation) -> Detected:
    rate, block = excitation.rate_hz, excitation.block
    per_unit = np.float32(function.accelerometer_v_per_g * excitation.scale_ratio / _STANDARD_GRAVITY)
    volts = excitation.signal * per_unit + np.float32(_BIAS_V)
    if excitation.volts is not None:
        volts += excitation.volts
    np.clip(volts, 0, _BIAS_SUPPLY_V, out=volts)
    volts = _forced(volts, excitation, rate)
    device = excitation.sample_rate_hz or settings.sample_rate_hz
    volts, rate, block = _sampled(volts, rate, block, device)
    raw = _in_blocks(volts, block)
    step = block / rate
    bias = raw.mean(axis=2, dtype=np.float32)
    bad = (bias < _BIAS_LOW_V) | (bias > _BIAS_HIGH_V)
    per_volt = np.float32(_STANDARD_GRAVITY / function.accelerometer_v_per_g)
    acceleration = (volts - np.float32(_BIAS_V)) * per_volt
    # Two poles that together pass the low end of the band 3 dB down; the second integrates above itself.
    corner = settings.casing_low_hz * _TWO_POLES
    acceleration -= low_pass(acceleration, corner, rate, settled=False)
    velocity = low_pass(acceleration, corner, rate, settled=False)
    velocity *= np.float32(1000 / (2 * np.pi * corner))
    velocity = low_pass(velocity, settings.casing_high_hz, rate)
    squares = _in_blocks(velocity * velocity, block).mean(axis=2, dtype=np.float32)
    window = blocks(settings.rms_window_s, step)
    reading: Signal = np.sqrt(moving_mean(squares, window).clip(0, None))
    peaks = _in_blocks(acceleration, block)
    supervised = _supervised(bad, settings, step)
    return Detected(step, reading, peaks.max(axis=2), peaks.min(axis=2), *supervised)


def _slow(function: Function, settings: DeviceSettings, excitation: Excitation) -> Detected:
    values = _forced(excitation.signal.copy(), excitation, excitation.rate_hz)
    step = 1 / excitation.rate_hz
    if function.quantity == "overspeed":
        bad = values <= 0
        return Detected(step, values, values, values, *_supervised(bad, settings, step))
    bad = (values >= _ELEMENT_OPEN) | (values <= _ELEMENT_SHORT)
    # The rate is taken over a second: the noise of one reading is no rise.
    reach = round(excitation.rate_hz)
    first = np.repeat(values[:, :1], reach, axis=1)
    earlier = np.concatenate((first, values), axis=1)[:, : values.shape[1]]
    bad |= np.abs(values - earlier) > np.float32(settings.temperature_rate_k_per_s)
    return Detected(step, values, values, values, *_supervised(bad, settings, step))


def _transmitted(function: Function, settings: DeviceSettings, found: Detected) -> Detected:
    """Return what the control system has: damped, within what a loop can carry, at its scans."""
    reading = low_pass(found.reading, 1 / (2 * np.pi * settings.transmitter_damping_s), 1 / found.step_s)
    if function.range_low is not None and function.range_high is not None:
        span = function.range_high - function.range_low
        reading = reading.clip(function.range_low - span / 80, function.range_low + span * _MA_HIGH_SHARE)
    scan = blocks(settings.controller_scan_s, found.step_s)
    places = np.arange(reading.shape[1]) // scan * scan
    lost, faulted = found.lost[:, places], found.faulted[:, places]
    return Detected(found.step_s, reading[:, places], found.high, found.low, lost, faulted)
