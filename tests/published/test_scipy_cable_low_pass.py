"""A source that drives a cable, against an independent frequency response.

SciPy, scipy.signal.freqs: response of the analogue low-pass 1/(1 + s*R*C). The 60 nF of 300 m at 200 pF/m
with 50, 100 and 390 ohm; gains at 10 kHz computed.
"""

import numpy
import pytest
from scipy import signal

from specapp.kernel.cables import cable_gain, five_percent_bandwidth_hz, largest_capacitance_nf
from specapp.kernel.loops import cable_bandwidth_hz

CASES = [(50.0, 53.05, 0.983), (100.0, 26.53, 0.936), (390.0, 6.80, 0.562)]


def response(source_ohm, frequency_hz):
    """Gain of source and 60 nF by SciPy."""
    _, gain = signal.freqs([1.0], [source_ohm * 60e-9, 1.0], worN=[2 * numpy.pi * frequency_hz])
    return abs(gain[0])


@pytest.mark.parametrize(("source_ohm", "bandwidth_khz", "gain_at_10_khz"), CASES)
def test_bandwidth_and_gain(source_ohm, bandwidth_khz, gain_at_10_khz):
    bandwidth = cable_bandwidth_hz(source_ohm, 200.0, 300.0)
    assert bandwidth / 1000 == pytest.approx(bandwidth_khz, rel=1e-3)
    assert cable_gain(10_000.0, bandwidth) == pytest.approx(gain_at_10_khz, rel=1e-3)
    assert cable_gain(10_000.0, bandwidth) == pytest.approx(response(source_ohm, 10_000.0), rel=1e-9)
    assert response(source_ohm, bandwidth) == pytest.approx(2**-0.5, rel=1e-9)


@pytest.mark.parametrize("source_ohm", [50.0, 390.0])
def test_five_percent_point(source_ohm):
    bandwidth = cable_bandwidth_hz(source_ohm, 200.0, 300.0)
    limit = five_percent_bandwidth_hz(bandwidth)
    assert limit / bandwidth == pytest.approx(0.3287, rel=1e-3)
    assert response(source_ohm, limit) == pytest.approx(0.95, rel=1e-9)
    assert largest_capacitance_nf(source_ohm, limit) == pytest.approx(60.0, rel=1e-9)


def test_one_percent_point():
    assert cable_gain(0.1425, 1.0) == pytest.approx(0.99, abs=1e-4)
