import pytest
from hypothesis import given
from hypothesis import strategies as st

from specapp.kernel.axial_position import allowance_mm, limits_mm
from specapp.kernel.errors import DomainError

RULE = {"cap_mm": 0.50, "babbitt_share": 0.5, "rub_share": 0.7}
ALARM = {"alarm_cap_mm": 0.25, "alarm_share": 0.65}


@pytest.mark.parametrize(
    ("babbitt_mm", "clearance_mm", "allowed_mm", "governed_by"),
    [
        (1.2, None, 0.50, "allowance_cap"),
        (1.0, None, 0.50, "allowance_cap"),
        (0.98, None, 0.49, "babbitt_share"),
        (0.76, None, 0.38, "babbitt_share"),
        (0.76, 0.9, 0.38, "babbitt_share"),
        (0.76, 0.6, 0.2975, "rub_share"),
        (1.2, 1.0, 0.50, "allowance_cap"),
    ],
)
def test_governing_term(babbitt_mm, clearance_mm, allowed_mm, governed_by):
    found = allowance_mm(0.35, babbitt_mm, clearance_mm, **RULE)
    assert found.value_mm == pytest.approx(allowed_mm)
    assert found.governed_by == governed_by


@pytest.mark.parametrize(
    ("clearance_mm", "fits"), [(0.174, False), (0.175, False), (0.176, True), (0.0, False), (-0.1, False)]
)
def test_impeller_must_clear_the_float(clearance_mm, fits):
    if fits:
        assert allowance_mm(0.35, 0.76, clearance_mm, **RULE).governed_by == "rub_share"
    else:
        with pytest.raises(DomainError, match="impeller_clearance_mm"):
            allowance_mm(0.35, 0.76, clearance_mm, **RULE)


def test_default_bull_gear():
    """Computed: float 0.35 mm and babbitt 0.76 mm give 0.422 and 0.555 mm."""
    limits = limits_mm(0.35, allowance_mm(0.35, 0.76, **RULE), **ALARM)
    assert (limits.alarm_mm, limits.trip_mm) == pytest.approx((0.422, 0.555))
    assert limits.alarm_governed_by == "alarm_share"


@given(
    float_mm=st.floats(0.0, 1.0),
    babbitt_mm=st.floats(0.1, 3.0),
    gap_beyond_float_mm=st.none() | st.floats(0.01, 3.0),
)
def test_order_of_float_alarm_trip_and_rub(float_mm, babbitt_mm, gap_beyond_float_mm):
    clearance = None if gap_beyond_float_mm is None else float_mm / 2 + gap_beyond_float_mm
    allowance = allowance_mm(float_mm, babbitt_mm, clearance, **RULE)
    limits = limits_mm(float_mm, allowance, **ALARM)
    assert float_mm / 2 < limits.alarm_mm < limits.trip_mm <= float_mm / 2 + 0.5
    if clearance is not None:
        assert limits.trip_mm < clearance


@pytest.mark.parametrize("share", [0.0, 1.0, 1.5])
def test_alarm_share_lies_between_0_and_1(share):
    with pytest.raises(DomainError, match="alarm_share"):
        limits_mm(0.35, allowance_mm(0.35, 0.76, **RULE), alarm_cap_mm=0.25, alarm_share=share)
