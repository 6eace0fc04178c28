"""Acceleration of a small high-frequency displacement.

vibrationschool.com, lesson on units of vibration: 0.003 mil peak to peak at 18 kHz, printed as about 50 g
peak. Tolerance 1 percent against the print, 0.1 percent against the arithmetic.
"""

import pytest

from specapp.kernel.sinusoids import acceleration_peak_g


def test_acceleration_of_three_microinches_at_18_khz():
    found = acceleration_peak_g(0.003 * 25.4, 18_000.0)
    assert found == pytest.approx(50.0, rel=0.01)
    assert found == pytest.approx(49.69, rel=1e-3)
