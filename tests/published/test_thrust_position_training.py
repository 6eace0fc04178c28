"""Alarm and trip of a thrust position.

Public training slides on thrust position setpoints (low authority): cold float +-8 mil, hot float +-12,
alarm 6 mil beyond the hot float, trip 10 mil beyond the alarm. The slides add fixed steps; the same steps
as caps of the rule used here must give the same limits.
"""

import pytest

from specapp.kernel.axial_position import allowance_mm, limits_mm

MIL_MM = 0.0254


def test_limits_of_the_slides():
    hot_float_mm = 2 * 12 * MIL_MM
    allowance = allowance_mm(hot_float_mm, 10.0, cap_mm=16 * MIL_MM, babbitt_share=0.5, rub_share=0.7)
    limits = limits_mm(hot_float_mm, allowance, alarm_cap_mm=6 * MIL_MM, alarm_share=0.65)
    assert limits.alarm_mm == pytest.approx(0.4572, rel=1e-3)
    assert limits.trip_mm == pytest.approx(0.7112, rel=1e-3)
    assert limits.alarm_governed_by == "alarm_cap"
