"""Resistance of platinum thermometers."""

from __future__ import annotations

from typing import Final

from specapp.kernel.arguments import finite, positive
from specapp.kernel.errors import OutOfRange

__all__ = ["platinum_resistance_ohm"]

_A: Final = 3.9083e-3
_B: Final = -5.775e-7
_C: Final = -4.183e-12


def platinum_resistance_ohm(temperature_c: float, at_zero_ohm: float = 100.0) -> float:
    """Return the resistance of an industrial platinum element.

    Parameters
    ----------
    temperature_c : float
        Temperature [degC], -200 to 850.
    at_zero_ohm : float
        Resistance at 0 degC [ohm], > 0; 100 for Pt100.

    Returns
    -------
    float
        Resistance [ohm], without that of the leads.

    Raises
    ------
    DomainError
        If an argument is no number or the resistance not above 0.
    OutOfRange
        If the temperature is outside the range of the formula.

    Notes
    -----
    R0*(1 + A*t + B*t**2), below 0 degC with C*(t - 100)*t**3 added.

    Source: IEC 60751:2008, 4.2 (published). Checked: tests/published/test_iec_60751_platinum.py.

    Examples
    --------
    >>> round(platinum_resistance_ohm(100.0), 2)
    138.51
    """
    finite("temperature_c", temperature_c, "degC")
    if not -200 <= temperature_c <= 850:
        raise OutOfRange("temperature_c", temperature_c, "from -200 to 850 degC", "degC")
    below = _C * (temperature_c - 100) * temperature_c**3 if temperature_c < 0 else 0.0
    ratio = 1 + _A * temperature_c + _B * temperature_c**2 + below
    return positive("at_zero_ohm", at_zero_ohm, "ohm") * ratio
