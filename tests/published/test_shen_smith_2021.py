"""An integrally geared compressor as built.

Q. Shen, P. J. Smith, Turbomachinery and Pump Symposia, Houston, December 2021, case T10: three stages on
two pinions, 4.1 MW, bull gear 1800 rpm, pinions 14 135 and 20 062 rpm, one radial probe at each impeller,
vibration limits printed as 0.9 and 0.8 mil. Ratios and frequencies are computed from those speeds. The
limits are printed to one digit, so they are held to half of it.
"""

import pytest

from specapp.kernel.shaft_vibration import acceptance_limit_pp_um
from specapp.kernel.speeds import rotation_frequency_hz

BULL_GEAR_RPM = 1800.0


@pytest.mark.parametrize(
    ("pinion_rpm", "printed_mil", "limit_um", "ratio", "rotation_hz"),
    [(14_135.0, 0.9, 23.40, 7.853, 235.6), (20_062.0, 0.8, 19.64, 11.146, 334.4)],
)
def test_pinions(pinion_rpm, printed_mil, limit_um, ratio, rotation_hz):
    limit = acceptance_limit_pp_um(pinion_rpm)
    assert limit == pytest.approx(limit_um, rel=1e-3)
    assert limit / 25.4 == pytest.approx(printed_mil, abs=0.05)
    assert pinion_rpm / BULL_GEAR_RPM == pytest.approx(ratio, rel=1e-3)
    assert rotation_frequency_hz(pinion_rpm) == pytest.approx(rotation_hz, rel=1e-3)
