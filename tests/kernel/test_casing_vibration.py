import pytest

from specapp.kernel.casing_vibration import alarm_from_baseline_rms_mm_s, zone, zone_boundaries_rms_mm_s
from specapp.kernel.errors import DomainError


@pytest.mark.parametrize(
    ("group", "support"), [(0, "rigid"), (3, "rigid"), (True, "rigid"), (1, "soft"), (1, None)]
)
def test_unknown_groups_and_supports_are_refused(group, support):
    with pytest.raises(DomainError, match="one of"):
        zone_boundaries_rms_mm_s(group, support)


def test_negative_velocity_is_refused():
    with pytest.raises(DomainError, match="velocity_rms_mm_s"):
        zone(-1.0, 1, "rigid")


@pytest.mark.parametrize(("baseline", "alarm"), [(4.49, 5.615), (4.5, 5.625), (4.51, 5.625)])
def test_alarm_on_each_side_of_its_cap(baseline, alarm):
    assert alarm_from_baseline_rms_mm_s(baseline, 4.5) == pytest.approx(alarm)
