"""Runout as vectors: a right angle worked by hand, and what is taken off put back on."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.errors import DomainError
from specapp.kernel.runout import compensated, runout_share, vector_sum

VECTORS = st.tuples(st.floats(0.1, 200), st.floats(0, 359.9))


def test_right_angle_by_hand():
    """8 um at 90 deg less 6 um at 0 deg: 10 um, 90 + atan(6/8) = 126.87 deg."""
    found = compensated((8.0, 90.0), (6.0, 0.0))
    assert found.displacement_pp_um == pytest.approx(10.0)
    assert found.phase_lag_deg == pytest.approx(126.8699, abs=1e-4)


@given(VECTORS, VECTORS)
def test_taken_off_and_put_back(total, slow_roll):
    rotor = compensated(total, slow_roll)
    back = vector_sum(rotor, slow_roll)
    assert back.displacement_pp_um == pytest.approx(total[0], abs=1e-6)
    assert (back.phase_lag_deg - total[1] + 180) % 360 - 180 == pytest.approx(0, abs=1e-4)


def test_a_rotor_without_vibration_of_its_own():
    assert compensated((6.0, 40.0), (6.0, 400.0)) == (0.0, 0.0)


def test_share_of_a_limit():
    assert runout_share(6.35, 6.35) == 1.0
    with pytest.raises(DomainError, match="runout_pp_um"):
        runout_share(-1.0, 6.35)
    with pytest.raises(DomainError, match="displacement_pp_um"):
        compensated((-1.0, 0.0), (1.0, 0.0))
