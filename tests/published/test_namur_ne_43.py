"""Bands of a 4-20 mA signal.

NAMUR recommendation NE 43, as described in public: 3.8 to 20.5 mA carries the measurement, 3.6 mA and
below or 21.0 mA and above tells a fault. What lies between is undefined.
"""

import pytest

from specapp.kernel.loops import CURRENT_STATES, current_state


@pytest.mark.parametrize(
    ("milliamps", "state"),
    [
        (3.5, "fault_low"),
        (3.7, "uncertain_low"),
        (3.9, "saturated_low"),
        (20.4, "saturated_high"),
        (20.8, "uncertain_high"),
        (21.5, "fault_high"),
    ],
)
def test_readings(milliamps, state):
    assert current_state(milliamps) == state


@pytest.mark.parametrize(
    ("edge_ma", "below", "at", "above"),
    [
        (3.6, "fault_low", "fault_low", "uncertain_low"),
        (3.8, "uncertain_low", "saturated_low", "saturated_low"),
        (4.0, "saturated_low", "normal", "normal"),
        (20.0, "normal", "normal", "saturated_high"),
        (20.5, "saturated_high", "saturated_high", "uncertain_high"),
        (21.0, "uncertain_high", "fault_high", "fault_high"),
    ],
)
def test_each_side_of_every_edge(edge_ma, below, at, above):
    assert (current_state(edge_ma - 0.001), current_state(edge_ma), current_state(edge_ma + 0.001)) == (
        below,
        at,
        above,
    )


def test_states_follow_each_other():
    seen = [current_state(step / 100) for step in range(-100, 2600)]
    assert list(dict.fromkeys(seen)) == list(CURRENT_STATES)
