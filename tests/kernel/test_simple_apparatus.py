"""Power of simple apparatus: the table of IEC 60079-0, 5.3.3 (from memory)."""

import pytest

from specapp.kernel.errors import DomainError, OutOfRange
from specapp.kernel.simple_apparatus import simple_apparatus_power_w


@pytest.mark.parametrize(
    ("ambient_c", "power_w"),
    [
        (-20.0, 1.3),
        (40.0, 1.3),
        (40.1, 1.25),
        (50.0, 1.25),
        (60.0, 1.2),
        (60.1, 1.1),
        (70.0, 1.1),
        (80.0, 1.0),
    ],
)
def test_each_side_of_each_step(ambient_c, power_w):
    assert simple_apparatus_power_w(ambient_c) == power_w


def test_above_the_table():
    with pytest.raises(OutOfRange, match="ambient_c"):
        simple_apparatus_power_w(80.1)


def test_no_number():
    with pytest.raises(DomainError):
        simple_apparatus_power_w(float("nan"))
