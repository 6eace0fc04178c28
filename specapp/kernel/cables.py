"""What a cable leaves of a signal, once its -3 dB frequency is known (`loops.cable_bandwidth_hz`)."""

from __future__ import annotations

from math import pi, sqrt
from typing import Final

from specapp.kernel.arguments import finite, non_negative, positive
from specapp.kernel.errors import DomainError

__all__ = [
    "cable_gain",
    "constant_current_frequency_limit_hz",
    "five_percent_bandwidth_hz",
    "largest_capacitance_nf",
]

_FIVE_PERCENT: Final = sqrt(1 / 0.95**2 - 1)


def cable_gain(frequency_hz: float, bandwidth_hz: float) -> float:
    """Return what a cable leaves of a signal at one frequency.

    Parameters
    ----------
    frequency_hz : float
        Frequency of the signal [Hz], >= 0.
    bandwidth_hz : float
        The -3 dB frequency of source and cable [Hz], > 0.

    Returns
    -------
    float
        Gain, 1 for a steady signal, falling towards 0.

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: first-order low-pass (common practice).  Checked: tests/published/test_scipy_cable_low_pass.py.

    Examples
    --------
    >>> round(cable_gain(10_000.0, 6801.0), 3)
    0.562
    """
    order = non_negative("frequency_hz", frequency_hz, "Hz") / positive("bandwidth_hz", bandwidth_hz, "Hz")
    return 1 / sqrt(1 + order * order)


def five_percent_bandwidth_hz(bandwidth_hz: float) -> float:
    """Return the frequency up to which a cable takes no more than 5 percent of the signal.

    Parameters
    ----------
    bandwidth_hz : float
        The -3 dB frequency of source and cable [Hz], > 0.

    Returns
    -------
    float
        0.3287 times that frequency [Hz].

    Raises
    ------
    DomainError
        If the argument is not above 0.

    Notes
    -----
    Source: first-order low-pass (common practice).  Checked: tests/published/test_scipy_cable_low_pass.py.

    Examples
    --------
    >>> round(five_percent_bandwidth_hz(10_000.0))
    3287
    """
    return _FIVE_PERCENT * positive("bandwidth_hz", bandwidth_hz, "Hz")


def largest_capacitance_nf(source_ohm: float, frequency_hz: float) -> float:
    """Return the largest cable capacitance that keeps a frequency within 5 percent.

    Parameters
    ----------
    source_ohm : float
        Source output, interface and half the loop resistance in series [ohm], > 0.
    frequency_hz : float
        Frequency that must pass [Hz], > 0.

    Returns
    -------
    float
        Capacitance of the whole cable [nF].

    Raises
    ------
    DomainError
        If an argument is not above 0.

    Notes
    -----
    Source: first-order low-pass (common practice).

    Examples
    --------
    >>> round(largest_capacitance_nf(50.0, 10_000.0), 1)
    104.6
    """
    return (
        _FIVE_PERCENT
        / (2 * pi * positive("source_ohm", source_ohm, "ohm") * positive("frequency_hz", frequency_hz, "Hz"))
        * 1e9
    )


def constant_current_frequency_limit_hz(
    supply_ma: float, capacitance_pf: float, amplitude_peak_v: float
) -> float:
    """Return the frequency up to which a two-wire sensor of constant current drives a cable undistorted.

    Parameters
    ----------
    supply_ma : float
        Constant current of the supply [mA], above 1 (the sensor itself takes 1 mA).
    capacitance_pf : float
        Capacitance of the cable [pF], > 0.
    amplitude_peak_v : float
        Largest signal [V peak], > 0.

    Returns
    -------
    float
        Frequency [Hz].

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: common practice.

    Examples
    --------
    >>> round(constant_current_frequency_limit_hz(4.0, 30_000.0, 5.0))
    3183
    """
    if finite("supply_ma", supply_ma, "mA") <= 1:
        raise DomainError("supply_ma", supply_ma, "above 1 mA", "mA")
    charge = positive("capacitance_pf", capacitance_pf, "pF") * positive(
        "amplitude_peak_v", amplitude_peak_v, "V"
    )
    return (supply_ma - 1) * 1e9 / (2 * pi * charge)
