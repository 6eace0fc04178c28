"""Simple apparatus in intrinsically safe circuits: what power it may be given."""

from __future__ import annotations

from typing import Final

from specapp.kernel.arguments import finite
from specapp.kernel.errors import OutOfRange

__all__ = ["simple_apparatus_power_w"]

# Highest ambient [degC] and power [W] of a part of 20 mm2 to 10 cm2 that stays within T4.
_POWER_W: Final = ((40.0, 1.3), (50.0, 1.25), (60.0, 1.2), (70.0, 1.1), (80.0, 1.0))


def simple_apparatus_power_w(ambient_c: float) -> float:
    """Return the power that simple apparatus may be given and still stay within T4.

    Parameters
    ----------
    ambient_c : float
        Highest ambient temperature [degC], up to 80. Of the steps of the table the next higher is taken.

    Returns
    -------
    float
        Power [W].

    Raises
    ------
    DomainError
        If the temperature is not a finite number.
    OutOfRange
        If it is above 80 degC.

    Notes
    -----
    Valid for surfaces of 20 mm2 to 10 cm2.

    Source: IEC 60079-0, 5.3.3 (from memory).  Checked: tests/kernel/test_simple_apparatus.py.

    Examples
    --------
    >>> simple_apparatus_power_w(40.0), simple_apparatus_power_w(45.0)
    (1.3, 1.25)
    """
    finite("ambient_c", ambient_c, "degC")
    for highest_c, power_w in _POWER_W:
        if ambient_c <= highest_c:
            return power_w
    raise OutOfRange("ambient_c", ambient_c, "up to 80 degC", "degC")
