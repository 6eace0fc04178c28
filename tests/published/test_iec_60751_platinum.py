"""Resistance of Pt100 elements against the table of IEC 60751:2008.

Rows as reproduced in many public tables of Pt100 resistance (published in secondary copies), to the two
decimals that they print.
"""

import pytest

from specapp.kernel.errors import DomainError, OutOfRange
from specapp.kernel.resistance_thermometers import platinum_resistance_ohm

TABLE = [
    (-200, 18.52),
    (-100, 60.26),
    (-50, 80.31),
    (0, 100.00),
    (50, 119.40),
    (100, 138.51),
    (110, 142.29),
    (120, 146.07),
    (150, 157.33),
    (200, 175.86),
    (400, 247.09),
    (850, 390.48),
]


@pytest.mark.parametrize(("temperature_c", "ohm"), TABLE)
def test_row_of_the_table(temperature_c, ohm):
    assert platinum_resistance_ohm(temperature_c) == pytest.approx(ohm, abs=0.0051)


@pytest.mark.parametrize("temperature_c", [-200.1, 850.1])
def test_outside_the_formula(temperature_c):
    with pytest.raises(OutOfRange, match="temperature_c"):
        platinum_resistance_ohm(temperature_c)


def test_no_element_without_resistance():
    with pytest.raises(DomainError, match="at_zero_ohm"):
        platinum_resistance_ohm(20.0, 0.0)
