"""What the chain answers where a formula answers too: missed peaks, beats, r.m.s., the curve of the probe."""

from dataclasses import replace
from math import cos, pi

import numpy as np
import pytest
from scipy import signal

from specapp.bench.chain import detect, gap_volts
from specapp.bench.closed_forms import (
    aliased_frequency_hz,
    beat_frequency_hz,
    largest_missed_peak,
    samples_for_missed_peak,
    sinusoid_rms,
    time_to_level_s,
)
from specapp.bench.excitation import Excitation
from specapp.bench.settings import DeviceSettings
from specapp.kernel.errors import DomainError
from specapp.kernel.probes import gap_voltage_v
from tests.bench.ground import PLAIN, function_of

RATE = 64 * 300.0


def vibration(pp_um, seconds=1.5, frequency_hz=300.0, rate_hz=RATE, legs=2):
    times = np.arange(int(seconds * rate_hz)) / rate_hz
    wave = (pp_um / 2 * np.sin(2 * pi * frequency_hz * times)).astype(np.float32)
    return Excitation(rate_hz, 64, 0.5, np.stack([wave] * legs))


def test_peak_to_peak_of_a_sinusoid():
    detected = detect(function_of(), PLAIN, vibration(40.0))
    gain = 1 / (1 + (300 / 4000) ** 2) ** 0.5
    assert detected.reading[:, -1] == pytest.approx(40.0 * gain, rel=0.004)


def test_the_band_against_scipy():
    """A low-pass at 4 kHz and a high-pass at 4 Hz, both of one pole, at 1X of a slow and a fast rotor."""
    for frequency_hz in (25.0, 700.0):
        detected = detect(function_of(), PLAIN, vibration(40.0, 2.0, frequency_hz, 64 * 700.0))
        poles = signal.lti([1, 0], [1, 2 * pi * 4]), signal.lti([2 * pi * 4000], [1, 2 * pi * 4000])
        gain = 1.0
        for pole in poles:
            _, response = signal.freqresp(pole, [2 * pi * frequency_hz])
            gain *= abs(response[0])
        assert detected.reading[0, -1] == pytest.approx(40.0 * gain, rel=0.012)


@pytest.mark.parametrize("per_turn", [5, 8, 12, 20])
def test_missed_peaks_by_samples_a_turn(per_turn):
    """The reading lies between the formula's worst and the true peak; the worst is reached when it stands
    still."""
    settings = replace(PLAIN, band_high_hz=1e6)
    settings = replace(settings, sample_rate_hz=300.0 * per_turn)
    worst = 40.0 * (1 - largest_missed_peak(per_turn))
    times = np.arange(int(1.0 * RATE)) / RATE
    lowest = 40.0
    for phase in np.linspace(0, 2 * pi / per_turn, 9):
        wave = (20 * np.cos(2 * pi * 300 * times + phase)).astype(np.float32)
        detected = detect(function_of(), settings, Excitation(RATE, 64, 0.5, np.stack([wave, wave])))
        lowest = min(lowest, float(detected.reading[0, -1]))
    # An odd number of samples never misses both peaks by the most at once.
    assert worst * 0.99 <= lowest <= (40.0 * 0.995 if per_turn < 12 else 40.0)
    if per_turn % 2 == 0:
        assert lowest == pytest.approx(worst, rel=0.01)


def test_missed_peak_formulas():
    assert largest_missed_peak(20) == pytest.approx(1 - cos(pi / 20))
    assert largest_missed_peak(2) == pytest.approx(1.0)
    assert samples_for_missed_peak(0.05) == 10
    with pytest.raises(DomainError, match="samples_per_turn"):
        largest_missed_peak(1.9)


def test_two_oscillators_beat_at_their_distance():
    """The product of two close tones, low-passed, is their beat: held against the spectrum of scipy."""
    assert beat_frequency_hz(1_000_180.0, 1_000_000.0) == pytest.approx(180.0)
    rate = 50_000.0
    times = np.arange(50_000) / rate
    mixed = np.cos(2 * pi * 10_180 * times) * np.cos(2 * pi * 10_000 * times)
    frequencies, power = signal.periodogram(mixed, rate)
    low = frequencies < 5000
    assert frequencies[low][power[low].argmax()] == pytest.approx(180.0, abs=1.0)


def test_aliases():
    assert aliased_frequency_hz(51_500.0, 51_200.0) == pytest.approx(300.0)
    assert aliased_frequency_hz(900.0, 1000.0) == pytest.approx(100.0)
    assert aliased_frequency_hz(400.0, 1000.0) == pytest.approx(400.0)


def test_velocity_rms_of_a_sinusoidal_acceleration():
    function = function_of("BG/B1/casing")
    rate, frequency, velocity_pp = 25_600.0, 120.0, 10.0
    amplitude = velocity_pp / 2 / 1000 * 2 * pi * frequency
    times = np.arange(int(2 * rate)) / rate
    wave = (amplitude * np.sin(2 * pi * frequency * times)).astype(np.float32)
    detected = detect(function, PLAIN, Excitation(rate, 64, 0.5, wave[None, :]))
    corner = 10.0 * (2**0.5 - 1) ** 0.5
    gain = 1 / (1 + (corner / frequency) ** 2) / (1 + (frequency / 1000) ** 2) ** 0.5
    assert detected.reading[0, -1] == pytest.approx(sinusoid_rms(velocity_pp) * gain, rel=0.01)


def test_straight_part_of_the_curve_is_the_kernel_formula():
    settings = DeviceSettings()
    for displacement_mm in (-0.9, -0.2, 0.0, 0.4, 0.9):
        found = gap_volts(np.array([[1000 * displacement_mm]], np.float32), settings)
        assert found[0, 0] == pytest.approx(gap_voltage_v(displacement_mm), abs=1e-4)


def test_curve_bends_and_ends():
    settings = DeviceSettings()
    far = gap_volts(np.array([[1000.0, 1001.0, 1500.0, 9000.0]], np.float32), settings)[0]
    assert far[0] == pytest.approx(-17.87, abs=1e-3)
    assert far[2] == pytest.approx(-17.87 - 0.5 * 0.5 * 7.87, abs=1e-3)
    assert far[3] == pytest.approx(-22.0)
    near = gap_volts(np.array([[-1270.0, -3000.0]], np.float32), settings)[0]
    assert near[0] == near[1] == pytest.approx(-10 + 1.27 * 7.87, abs=1e-3)


def test_time_to_level():
    assert time_to_level_s(1 - np.exp(-1), 1 / (2 * pi)) == pytest.approx(1.0)
    with pytest.raises(DomainError, match="share"):
        time_to_level_s(1.0, 1.0)
