"""Temperature and tolerance of Pt100 elements against IEC 60751:2008.

Resistances as reproduced in many public tables of Pt100 (published in secondary copies), to the two decimals
that
they print; tolerances of classes A and B likewise.
"""

import pytest

from specapp.kernel.commissioning import element_check, platinum_temperature_c, platinum_tolerance_k
from specapp.kernel.errors import OutOfRange
from specapp.kernel.resistance_thermometers import platinum_resistance_ohm

TABLE = [
    (-200, 18.52),
    (-100, 60.26),
    (-50, 80.31),
    (0, 100.00),
    (10, 103.90),
    (20, 107.79),
    (50, 119.40),
    (100, 138.51),
    (150, 157.33),
    (200, 175.86),
    (400, 247.09),
    (850, 390.48),
]
# Temperature, class A, class B [K].
TOLERANCES = [(-100, 0.35, 0.8), (0, 0.15, 0.30), (100, 0.35, 0.8), (200, 0.55, 1.3), (300, 0.75, 1.8)]


@pytest.mark.parametrize(("temperature_c", "ohm"), TABLE[1:-1])
def test_row_of_the_table_read_backwards(temperature_c, ohm):
    assert platinum_temperature_c(ohm) == pytest.approx(temperature_c, abs=0.015)


@pytest.mark.parametrize("temperature_c", [-200.0, -80.0, -0.001, 0.0, 0.001, 25.0, 150.0, 850.0])
def test_there_and_back(temperature_c):
    assert platinum_temperature_c(platinum_resistance_ohm(temperature_c)) == pytest.approx(
        temperature_c, abs=1e-6
    )


@pytest.mark.parametrize(("temperature_c", "class_a", "class_b"), TOLERANCES)
def test_tolerances(temperature_c, class_a, class_b):
    assert platinum_tolerance_k(temperature_c, "A") == pytest.approx(class_a)
    assert platinum_tolerance_k(temperature_c, "B") == pytest.approx(class_b)


def test_ranges():
    for ohm in (18.4, 391.0):
        with pytest.raises(OutOfRange, match="resistance_ohm"):
            platinum_temperature_c(ohm)
    with pytest.raises(OutOfRange, match="temperature_c"):
        platinum_tolerance_k(451.0, "A")


@pytest.mark.parametrize(("off_k", "passes"), [(0.42, True), (0.44, False), (-0.42, True), (-0.44, False)])
def test_an_element_at_its_tolerance(off_k, passes):
    """Class B at 25 degC: 0.425 K."""
    found = element_check(platinum_resistance_ohm(25 + off_k), 25.0)
    assert found.allowed_k == pytest.approx(0.425)
    assert found.passes == passes
