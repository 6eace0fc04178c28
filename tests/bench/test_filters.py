"""The filters against scipy.signal, an independent implementation, and against closed forms."""

import numpy as np
import pytest
from scipy import signal

from specapp.bench.closed_forms import step_response
from specapp.bench.filters import low_pass, moving_maximum, moving_mean, run_lengths, smoothing_share


@pytest.mark.parametrize("corner_hz", [4.0, 130.0, 4000.0])
def test_single_pole_is_that_of_scipy(corner_hz):
    rate_hz = 20_000.0
    values = np.random.default_rng(3).standard_normal((2, 6000)).astype(np.float32)
    share = smoothing_share(corner_hz, rate_hz)
    start = share * values[:, :1].astype(float)
    expected, _ = signal.lfilter([1 - share], [1, -share], values.astype(float), axis=1, zi=start)
    assert low_pass(values, corner_hz, rate_hz) == pytest.approx(expected, abs=2e-5)


def test_step_response_of_a_single_pole():
    values = np.concatenate((np.zeros(1), np.ones(4000))).astype(np.float32)[None, :]
    found = low_pass(values, 10.0, 5000.0)[0]
    for place in (1, 50, 400, 3000):
        assert found[place] == pytest.approx(step_response(place / 5000.0, 10.0), abs=1e-5)


def test_amplitude_at_the_corner_is_3_db_down():
    rate_hz = 100_000.0
    times = np.arange(40_000) / rate_hz
    found = low_pass(np.sin(2 * np.pi * 500 * times).astype(np.float32)[None, :], 500.0, rate_hz)[0]
    assert found[20_000:].max() == pytest.approx(2**-0.5, rel=0.02)


def test_a_corner_far_above_the_rate_does_nothing():
    values = np.arange(10, dtype=np.float32)[None, :]
    assert low_pass(values, 1e6, 1000.0) is values


def test_not_settled_starts_from_nothing():
    assert low_pass(np.ones((1, 5), np.float32), 100.0, 1000.0, settled=False)[0, 0] == pytest.approx(
        1 - smoothing_share(100.0, 1000.0)
    )


@pytest.mark.parametrize("count", [1, 2, 3, 5, 8, 13, 40])
def test_moving_extremes_and_means_look_back(count):
    values = np.random.default_rng(count).standard_normal((2, 30)).astype(np.float32)
    for place in (0, count - 1 if count <= 30 else 29, 29):
        window = values[:, max(0, place - count + 1) : place + 1]
        assert moving_maximum(values, count)[:, place] == pytest.approx(window.max(axis=1))
        assert moving_mean(values, count)[:, place] == pytest.approx(window.mean(axis=1), abs=1e-6)


def test_run_lengths_end_at_every_gap():
    holds = np.array([[True, True, False, True, True, True]])
    assert run_lengths(holds).tolist() == [[1, 2, 0, 1, 2, 3]]
