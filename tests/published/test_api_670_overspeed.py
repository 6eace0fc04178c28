"""Events a turn of an overspeed sensor.

API Standard 670, Machinery Protection Systems, 4th edition, 5.4.8.4 (published): at least 300 events a
second at rated speed. Events computed for three speeds.
"""

import pytest

from specapp.kernel.speeds import overspeed_events_per_turn, pulse_rate_hz


@pytest.mark.parametrize(("speed_rpm", "events"), [(3000.0, 6), (1500.0, 12), (18_000.0, 1)])
def test_events_per_turn(speed_rpm, events):
    assert overspeed_events_per_turn(speed_rpm) == events
    assert pulse_rate_hz(speed_rpm, events) >= 300.0
