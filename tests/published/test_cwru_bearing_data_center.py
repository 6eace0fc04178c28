"""Defect frequencies of a real bearing.

Case Western Reserve University Bearing Data Center, bearing information, drive-end bearing: 9 balls, pitch
diameter 1.537 in, ball diameter 0.3126 in; multiples of the running speed in Hz printed as 5.4152 (inner
ring), 3.5848 (outer ring), 0.39828 (cage train), 4.7135 (rolling element). The last is the rate at which a
ball meets either ring, twice the bsf used here. Tolerance 0.1 percent.
"""

import pytest

from specapp.kernel.bearings import defect_frequencies_hz

SPEED_RPM = 1797.0


@pytest.fixture
def found():
    return defect_frequencies_hz(SPEED_RPM, 9, 0.3126 * 25.4, 1.537 * 25.4)


def test_frequencies(found):
    computed = (found.bpfi, found.bpfo, found.ftf, 2 * found.bsf)
    assert computed == pytest.approx((162.19, 107.36, 11.93, 141.17), rel=1e-3)


def test_multiples_of_the_running_speed(found):
    turn_hz = SPEED_RPM / 60
    multiples = [each / turn_hz for each in (found.bpfi, found.bpfo, found.ftf, 2 * found.bsf)]
    assert multiples == pytest.approx([5.4152, 3.5848, 0.39828, 4.7135], rel=1e-3)
