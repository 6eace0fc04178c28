"""Displacement, velocity and acceleration of one stated sinusoid.

None of this holds for a vibration with several components: a measured r.m.s. value says nothing sure about
its peaks.
"""

from __future__ import annotations

from math import pi, sqrt
from typing import Final

from specapp.kernel.arguments import non_negative, positive

__all__ = [
    "STANDARD_GRAVITY_M_S2",
    "acceleration_peak_g",
    "displacement_pp_um",
    "velocity_rms_mm_s",
]

STANDARD_GRAVITY_M_S2: Final = 9.80665


def acceleration_peak_g(displacement_pp_um: float, frequency_hz: float) -> float:
    """Return the peak acceleration of a sinusoid of given displacement.

    Parameters
    ----------
    displacement_pp_um : float
        Displacement [um peak to peak], >= 0.
    frequency_hz : float
        Frequency [Hz], > 0.

    Returns
    -------
    float
        Acceleration [g peak], of the standard gravity 9.80665 m/s2.

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: harmonic motion.  Checked: tests/published/test_vibration_school.py.

    Examples
    --------
    >>> round(acceleration_peak_g(0.0762, 18_000.0), 2)
    49.69
    """
    omega = 2 * pi * positive("frequency_hz", frequency_hz, "Hz")
    amplitude_m = non_negative("displacement_pp_um", displacement_pp_um, "um") / 2 * 1e-6
    return amplitude_m * omega * omega / STANDARD_GRAVITY_M_S2


def velocity_rms_mm_s(displacement_pp_um: float, frequency_hz: float) -> float:
    """Return the r.m.s. velocity of a sinusoid of given displacement.

    Parameters
    ----------
    displacement_pp_um : float
        Displacement [um peak to peak], >= 0.
    frequency_hz : float
        Frequency [Hz], > 0.

    Returns
    -------
    float
        Velocity [mm/s r.m.s.].

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: harmonic motion.

    Examples
    --------
    >>> round(velocity_rms_mm_s(90.03, 50.0), 2)
    10.0
    """
    omega = 2 * pi * positive("frequency_hz", frequency_hz, "Hz")
    amplitude_mm = non_negative("displacement_pp_um", displacement_pp_um, "um") / 2 * 1e-3
    return amplitude_mm * omega / sqrt(2)


def displacement_pp_um(velocity_rms_mm_s: float, frequency_hz: float) -> float:
    """Return the displacement of a sinusoid of given r.m.s. velocity.

    Parameters
    ----------
    velocity_rms_mm_s : float
        Velocity [mm/s r.m.s.], >= 0.
    frequency_hz : float
        Frequency [Hz], > 0.

    Returns
    -------
    float
        Displacement [um peak to peak].

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: harmonic motion.

    Examples
    --------
    >>> round(displacement_pp_um(10.0, 50.0), 2)
    90.03
    """
    omega = 2 * pi * positive("frequency_hz", frequency_hz, "Hz")
    return 2 * sqrt(2) * non_negative("velocity_rms_mm_s", velocity_rms_mm_s, "mm/s") / omega * 1e3
