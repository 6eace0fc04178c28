"""What a loop still bears: its longest cable, largest load, thinnest conductor and hottest conductor.

The closed-form inverses of `loops.loop_voltage_v` and of the cable's low-pass, for the question "what would
turn the answer".
"""

from __future__ import annotations

from collections.abc import Iterable
from math import pi, sqrt
from typing import Final

from specapp.kernel.arguments import non_negative, positive
from specapp.kernel.errors import OutOfRange
from specapp.kernel.loops import conductor_resistance_ohm_per_km, conductor_sizes, loop_resistance_ohm

__all__ = [
    "hottest_conductor_c",
    "largest_load_ohm",
    "largest_loop_resistance_ohm",
    "longest_cable_for_bandwidth_m",
    "longest_cable_for_supply_m",
    "thinnest_conductor",
]

_FIVE_PERCENT: Final = sqrt(1 / 0.95**2 - 1)
_COPPER_PER_K: Final = 0.00393
_OHM_PER_KM: Final = 1000.0


def largest_loop_resistance_ohm(supply_v: float, current_ma: float, minimum_v: float) -> float:
    """Return the resistance that a loop bears in all: interface, cable there and back, load.

    Parameters
    ----------
    supply_v : float
        Supply voltage, its least value, without its sign [V], > 0.
    current_ma : float
        Largest current [mA], > 0.
    minimum_v : float
        Least voltage at the device, without its sign [V], >= 0.

    Returns
    -------
    float
        Resistance [ohm]; 0 where the supply gives exactly what the device needs.

    Raises
    ------
    DomainError
        If an argument is outside its range.
    OutOfRange
        If the device needs more than the supply gives, so that no resistance at all is borne.

    Notes
    -----
    Source: Ohm's law.  Checked: tests/kernel/test_loop_limits.py.

    Examples
    --------
    >>> round(largest_loop_resistance_ohm(24.0, 21.0, 12.0), 1)
    571.4
    """
    amps = positive("current_ma", current_ma, "mA") / 1000
    left = positive("supply_v", supply_v, "V") - non_negative("minimum_v", minimum_v, "V")
    if left < 0:
        raise OutOfRange("minimum_v", minimum_v, f"up to the {supply_v:g} V of the supply", "V")
    return left / amps


def largest_load_ohm(
    supply_v: float, current_ma: float, minimum_v: float, other_resistances_ohm: Iterable[float]
) -> float:
    """Return the largest load that a loop bears beside its other resistances.

    Parameters
    ----------
    supply_v : float
        Supply voltage, its least value, without its sign [V], > 0.
    current_ma : float
        Largest current [mA], > 0.
    minimum_v : float
        Least voltage at the device, without its sign [V], >= 0.
    other_resistances_ohm : iterable of float
        Interface and cable there and back [ohm], each >= 0.

    Returns
    -------
    float
        Load [ohm], >= 0.

    Raises
    ------
    DomainError
        If an argument is outside its range.
    OutOfRange
        If the other resistances alone are too much.

    Notes
    -----
    Source: Ohm's law.  Checked: tests/kernel/test_loop_limits.py.

    Examples
    --------
    >>> round(largest_load_ohm(24.0, 21.0, 12.0, [340.0, 24.5]), 1)
    206.9
    """
    total = sum(non_negative("other_resistances_ohm", part, "ohm") for part in other_resistances_ohm)
    left = largest_loop_resistance_ohm(supply_v, current_ma, minimum_v) - total
    if left < 0:
        raise OutOfRange("other_resistances_ohm", total, f"up to {total + left:.4g} ohm in all", "ohm")
    return left


def longest_cable_for_supply_m(
    supply_v: float,
    current_ma: float,
    minimum_v: float,
    other_resistances_ohm: Iterable[float],
    size: str,
    temperature_c: float = 20.0,
) -> float:
    """Return the longest cable over which a loop still has its voltage at the device.

    Parameters
    ----------
    supply_v : float
        Supply voltage, its least value, without its sign [V], > 0.
    current_ma : float
        Largest current [mA], > 0.
    minimum_v : float
        Least voltage at the device, without its sign [V], >= 0.
    other_resistances_ohm : iterable of float
        Interface and load [ohm], each >= 0.
    size : str
        Conductor size, as for `loops.conductor_resistance_ohm_per_km`.
    temperature_c : float
        Conductor temperature [degC].

    Returns
    -------
    float
        Length, one way [m].

    Raises
    ------
    DomainError
        If an argument is outside its range.
    OutOfRange
        If the other resistances alone are too much.

    Notes
    -----
    Source: Ohm's law; conductors as in `loops`.  Checked: tests/kernel/test_loop_limits.py.

    Examples
    --------
    >>> round(longest_cable_for_supply_m(24.0, 21.0, 12.0, [340.0, 100.0], "0.75 mm2"))
    2682
    """
    left = largest_load_ohm(supply_v, current_ma, minimum_v, other_resistances_ohm)
    return left * _OHM_PER_KM / (2 * conductor_resistance_ohm_per_km(size, temperature_c))


def thinnest_conductor(allowed_ohm: float, length_m: float, temperature_c: float = 20.0) -> str:
    """Return the thinnest conductor whose loop stays within a resistance.

    Parameters
    ----------
    allowed_ohm : float
        Resistance that the cable may have there and back [ohm], >= 0.
    length_m : float
        Cable length, one way [m], >= 0.
    temperature_c : float
        Conductor temperature [degC].

    Returns
    -------
    str
        Size, one of `loops.conductor_sizes`.

    Raises
    ------
    DomainError
        If an argument is outside its range.
    OutOfRange
        If even the thickest conductor known here has more.

    Notes
    -----
    Source: conductors as in `loops`.  Checked: tests/kernel/test_loop_limits.py.

    Examples
    --------
    >>> thinnest_conductor(10.0, 180.0)
    '0.75 mm2'
    """
    non_negative("allowed_ohm", allowed_ohm, "ohm")
    sizes = sorted(conductor_sizes(), key=conductor_resistance_ohm_per_km, reverse=True)
    for size in sizes:
        found = loop_resistance_ohm(length_m, size, temperature_c)
        if found <= allowed_ohm:
            return size
    raise OutOfRange("allowed_ohm", allowed_ohm, f"from {found:.4g} ohm, that of {sizes[-1]}", "ohm")


def hottest_conductor_c(allowed_ohm: float, length_m: float, size: str) -> float:
    """Return the conductor temperature at which a cable reaches a resistance.

    Parameters
    ----------
    allowed_ohm : float
        Resistance that the cable may have there and back [ohm], >= 0.
    length_m : float
        Cable length, one way [m], > 0.
    size : str
        Conductor size, as for `loops.conductor_resistance_ohm_per_km`.

    Returns
    -------
    float
        Temperature [degC]. Above some 70 to 200 degC the insulation of the cable governs, not this.

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: 0.00393 per kelvin of copper (common practice).  Checked: tests/kernel/test_loop_limits.py.

    Examples
    --------
    >>> round(hottest_conductor_c(12.996, 300.0, "1.0 mm2"), 1)
    70.0
    """
    at_20 = loop_resistance_ohm(positive("length_m", length_m, "m"), size)
    return 20 + (non_negative("allowed_ohm", allowed_ohm, "ohm") / at_20 - 1) / _COPPER_PER_K


def longest_cable_for_bandwidth_m(
    source_ohm: float,
    capacitance_pf_per_m: float,
    frequency_hz: float,
    size: str,
    temperature_c: float = 20.0,
) -> float:
    """Return the longest cable that keeps a frequency within 5 percent.

    Parameters
    ----------
    source_ohm : float
        Output of the source and interface, without the cable [ohm], >= 0.
    capacitance_pf_per_m : float
        Capacitance of the cable [pF/m], > 0.
    frequency_hz : float
        Frequency that must pass [Hz], > 0.
    size : str
        Conductor size, as for `loops.conductor_resistance_ohm_per_km`.
    temperature_c : float
        Conductor temperature [degC].

    Returns
    -------
    float
        Length [m].

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    The root of R(L)*C(L) = 0.3287/(2*pi*f), with R the source and half the loop of the cable.

    Source: first-order low-pass (common practice).  Checked: tests/kernel/test_loop_limits.py.

    Examples
    --------
    >>> round(longest_cable_for_bandwidth_m(390.0, 200.0, 4000.0, "1.0 mm2"), 1)
    166.4
    """
    core = conductor_resistance_ohm_per_km(size, temperature_c) / _OHM_PER_KM
    farads_per_m = positive("capacitance_pf_per_m", capacitance_pf_per_m, "pF/m") * 1e-12
    product = _FIVE_PERCENT / (2 * pi * positive("frequency_hz", frequency_hz, "Hz")) / farads_per_m
    source = non_negative("source_ohm", source_ohm, "ohm")
    # The form of the quadratic root that does not cancel where the cable's own resistance is small.
    return 2 * product / (source + sqrt(source * source + 4 * core * product))
