"""The approximations of annex B against exact integration.

SciPy, scipy.integrate.quad: time average of the unavailability of channels that fail at a constant rate,
with no diagnostics, no repair time and no common cause. The approximation must never be below it
(published in the 61508 Association workshop of 2024) and close to it while rate times interval is small.
"""

from math import exp

import pytest
from scipy.integrate import quad

from specapp.kernel.functional_safety import pfd_avg

UNAVAILABLE = {
    "1oo1": lambda q: q,
    "1oo2": lambda q: q**2,
    "2oo2": lambda q: 2 * q - q**2,
    "2oo3": lambda q: 3 * q**2 - 2 * q**3,
    "1oo3": lambda q: q**3,
}


@pytest.mark.parametrize("voting", UNAVAILABLE)
@pytest.mark.parametrize("rate_per_h", [1e-7, 1e-6, 1e-5])
def test_never_below_the_exact_average(voting, rate_per_h):
    interval_h = 8760.0
    total, _ = quad(
        lambda hours: UNAVAILABLE[voting](1 - exp(-rate_per_h * hours)), 0, interval_h, epsabs=0, epsrel=1e-10
    )
    exact = total / interval_h
    found = pfd_avg(
        voting,
        dangerous_undetected_per_h=rate_per_h,
        dangerous_detected_per_h=0.0,
        proof_test_interval_h=interval_h,
        repair_time_h=0.0,
    )
    assert found >= exact * (1 - 1e-9)
    assert found <= exact * (1 + 3 * rate_per_h * interval_h)
