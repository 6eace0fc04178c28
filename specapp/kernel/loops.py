"""4-20 mA loops, the resistance of their conductors and the bandwidth of a cable."""

from __future__ import annotations

import re
from collections.abc import Iterable
from math import copysign, pi
from typing import Final, Literal

from specapp.kernel.arguments import finite, non_negative, positive
from specapp.kernel.errors import DomainError

__all__ = [
    "CURRENT_STATES",
    "CurrentState",
    "cable_bandwidth_hz",
    "conductor_area_mm2",
    "conductor_resistance_ohm_per_km",
    "conductor_sizes",
    "current_ma",
    "current_state",
    "loop_resistance_ohm",
    "loop_voltage_v",
    "reading_at_current",
]

CurrentState = Literal[
    "fault_low",
    "uncertain_low",
    "saturated_low",
    "normal",
    "saturated_high",
    "uncertain_high",
    "fault_high",
]
CURRENT_STATES: Final[tuple[CurrentState, ...]] = (
    "fault_low",
    "uncertain_low",
    "saturated_low",
    "normal",
    "saturated_high",
    "uncertain_high",
    "fault_high",
)

# Each core at 20 degC: IEC 60228 class 1 and 2 plain copper [ohm/km], and solid AWG [ohm/km].
_RESISTANCE_MM2: Final = {"0.5": 36.0, "0.75": 24.5, "1": 18.1, "1.5": 12.1}
_RESISTANCE_AWG: Final = {"16": 13.18, "18": 20.95, "20": 33.30}
_MM2: Final = re.compile(r"(\d{1,3}(?:\.\d{1,3})?) ?mm(?:2|²|\^2)", re.IGNORECASE | re.ASCII)
_AWG: Final = re.compile(r"AWG ?(\d{1,2})|(\d{1,2}) ?AWG", re.IGNORECASE | re.ASCII)
_COPPER_PER_K: Final = 0.00393


def current_ma(value: float, low: float, high: float) -> float:
    """Return the loop current of a reading.

    Parameters
    ----------
    value : float
        Reading, in any unit.
    low : float
        Reading at 4 mA, in the unit of `value`.
    high : float
        Reading at 20 mA, in the unit of `value`, other than `low` (below it for an inverted range).

    Returns
    -------
    float
        4 + 16*(value - low)/(high - low) [mA], not limited to what a transmitter can drive.

    Raises
    ------
    DomainError
        If an argument is not a finite number or the range is empty.

    Notes
    -----
    Source: definition of the 4-20 mA signal (common practice).

    Examples
    --------
    >>> current_ma(25.0, 0.0, 100.0)
    8.0
    """
    finite("value", value)
    if finite("high", high) == finite("low", low):
        raise DomainError("high", high, f"other than the reading at 4 mA, {low:g}")
    return 4 + 16 * (value - low) / (high - low)


def reading_at_current(milliamps: float, low: float, high: float) -> float:
    """Return the reading of a loop current.

    Parameters
    ----------
    milliamps : float
        Loop current [mA].
    low : float
        Reading at 4 mA, in any unit.
    high : float
        Reading at 20 mA, in the unit of `low`, other than `low`.

    Returns
    -------
    float
        Reading, in the unit of `low`, not limited to the range.

    Raises
    ------
    DomainError
        If an argument is not a finite number or the range is empty.

    Notes
    -----
    Source: definition of the 4-20 mA signal (common practice).

    Examples
    --------
    >>> reading_at_current(8.0, 0.0, 100.0)
    25.0
    """
    finite("milliamps", milliamps, "mA")
    if finite("high", high) == finite("low", low):
        raise DomainError("high", high, f"other than the reading at 4 mA, {low:g}")
    return low + (high - low) * (milliamps - 4) / 16


def current_state(milliamps: float) -> CurrentState:
    """Return what a loop current says about its transmitter.

    Parameters
    ----------
    milliamps : float
        Loop current [mA]; negative (reversed wires) reads as a low fault.

    Returns
    -------
    CurrentState
        Fault at 3.6 and below or 21.0 and above; saturated from 3.8 to below 4.0 and above 20.0 to 20.5;
        normal from 4.0 to 20.0; uncertain in between.

    Raises
    ------
    DomainError
        If the current is not a finite number.

    Notes
    -----
    Source: NAMUR NE 43 (published in public descriptions).  Checked: tests/published/test_namur_ne_43.py.

    Examples
    --------
    >>> current_state(3.6), current_state(4.0), current_state(20.6)
    ('fault_low', 'normal', 'uncertain_high')
    """
    finite("milliamps", milliamps, "mA")
    if milliamps < 4.0:
        if milliamps <= 3.6:
            return "fault_low"
        return "uncertain_low" if milliamps < 3.8 else "saturated_low"
    if milliamps <= 20.0:
        return "normal"
    if milliamps >= 21.0:
        return "fault_high"
    return "saturated_high" if milliamps <= 20.5 else "uncertain_high"


def conductor_sizes() -> tuple[str, ...]:
    """Return the conductor sizes whose resistance is known here.

    Returns
    -------
    tuple of str
        Sizes as `conductor_resistance_ohm_per_km` takes them.

    Notes
    -----
    Source: IEC 60228 and the AWG table, as for `conductor_resistance_ohm_per_km`.

    Examples
    --------
    >>> conductor_sizes()[:2]
    ('0.5 mm2', '0.75 mm2')
    """
    return (*(f"{size} mm2" for size in _RESISTANCE_MM2), *(f"AWG {size}" for size in _RESISTANCE_AWG))


def conductor_area_mm2(size: str) -> float:
    """Return the cross-section of a conductor size.

    Parameters
    ----------
    size : str
        As for `conductor_resistance_ohm_per_km`.

    Returns
    -------
    float
        Cross-section [mm2]; of the solid round wire for an AWG number.

    Raises
    ------
    DomainError
        If the size is not one of those.

    Notes
    -----
    Source: definition of the sizes; ASTM B258 for AWG (from memory).  Checked: tests/kernel/test_loops.py.

    Examples
    --------
    >>> conductor_area_mm2("1.0 mm2"), round(conductor_area_mm2("AWG 18"), 3)
    (1.0, 0.823)
    """
    conductor_resistance_ohm_per_km(size)
    text = size.strip()
    if found := _MM2.fullmatch(text):
        return float(found[1])
    awg = _AWG.fullmatch(text)
    assert awg is not None, "a size with a resistance is in mm2 or AWG"
    diameter_mm = 0.127 * pow(92.0, (36 - int(awg[1] or awg[2])) / 39)
    return float(pi / 4 * diameter_mm * diameter_mm)


def conductor_resistance_ohm_per_km(size: str, temperature_c: float = 20.0) -> float:
    """Return the resistance of one core; a loop has two.

    Parameters
    ----------
    size : str
        "0.5 mm2", "0.75 mm2", "1 mm2" or "1.5 mm2" (class 1 or 2, plain copper), "AWG 16", "AWG 18" or
        "AWG 20" (solid). "1.0 mm2" and "18 AWG" are read as well.
    temperature_c : float
        Conductor temperature [degC], -100 to 200.

    Returns
    -------
    float
        Resistance [ohm/km].

    Raises
    ------
    DomainError
        If the size is not one of those or the temperature is outside its range.

    Notes
    -----
    Source: IEC 60228 (published, as reproduced on public technical pages); HyperPhysics, Georgia State
    University, AWG table (published); 0.00393 per kelvin of copper (common practice).
    Checked: tests/published/test_conductor_tables.py.

    Examples
    --------
    >>> conductor_resistance_ohm_per_km("0.75 mm2")
    24.5
    >>> round(conductor_resistance_ohm_per_km("1.0 mm2", 70.0), 2)
    21.66
    """
    if not -100 <= finite("temperature_c", temperature_c, "degC") <= 200:
        raise DomainError("temperature_c", temperature_c, "from -100 to 200 degC", "degC")
    text = size.strip() if isinstance(size, str) else ""
    at_20 = None
    if found := _MM2.fullmatch(text):
        at_20 = _RESISTANCE_MM2.get(f"{float(found[1]):g}")
    elif found := _AWG.fullmatch(text):
        at_20 = _RESISTANCE_AWG.get(found[1] or found[2])
    if at_20 is None:
        raise DomainError("size", size, "one of " + ", ".join(conductor_sizes()))
    return at_20 * (1 + _COPPER_PER_K * (temperature_c - 20))


def loop_resistance_ohm(length_m: float, size: str, temperature_c: float = 20.0) -> float:
    """Return the resistance of the two cores of a cable.

    Parameters
    ----------
    length_m : float
        Cable length, one way [m], >= 0.
    size : str
        Conductor size, as for `conductor_resistance_ohm_per_km`.
    temperature_c : float
        Conductor temperature [degC].

    Returns
    -------
    float
        Resistance there and back [ohm].

    Raises
    ------
    DomainError
        If the length is negative, the size unknown or the temperature outside its range.

    Notes
    -----
    Source: as for `conductor_resistance_ohm_per_km`.

    Examples
    --------
    >>> round(loop_resistance_ohm(300.0, "1.0 mm2"), 2)
    10.86
    """
    one_way_km = non_negative("length_m", length_m, "m") / 1000
    return 2 * one_way_km * conductor_resistance_ohm_per_km(size, temperature_c)


def loop_voltage_v(supply_v: float, current_ma: float, resistances_ohm: float | Iterable[float]) -> float:
    """Return the voltage that is left at the device at the end of a loop.

    Parameters
    ----------
    supply_v : float
        Supply voltage, its least value [V]; negative for a negative supply.
    current_ma : float
        Loop current, its largest value [mA], >= 0. A 4-20 mA loop is checked at 21 to 22 mA, the fault
        current, not at 20.
    resistances_ohm : float or iterable of float
        Resistances in series: barrier, cable there and back, load [ohm], each >= 0.

    Returns
    -------
    float
        Voltage at the device, of the sign of the supply [V]. Of the other sign where the resistances would
        take more than the supply has: the loop cannot carry that current.

    Raises
    ------
    DomainError
        If the current or a resistance is negative or a number not finite.

    Notes
    -----
    Source: Ohm's law.  Checked: tests/kernel/test_loops.py.

    Examples
    --------
    >>> round(loop_voltage_v(24.0, 21.0, [340.0, 24.5, 250.0]), 2)
    11.1
    """
    finite("supply_v", supply_v, "V")
    amps = non_negative("current_ma", current_ma, "mA") / 1000
    parts = [resistances_ohm] if isinstance(resistances_ohm, (int, float)) else resistances_ohm
    total = sum(non_negative("resistances_ohm", part, "ohm") for part in parts)
    return copysign(1.0, supply_v) * (abs(supply_v) - amps * total)


def cable_bandwidth_hz(source_ohm: float, capacitance_pf_per_m: float, length_m: float) -> float:
    """Return the -3 dB frequency of a source that drives a cable.

    Parameters
    ----------
    source_ohm : float
        Source output, interface and half the loop resistance in series [ohm], > 0.
    capacitance_pf_per_m : float
        Capacitance of the cable [pF/m], > 0.
    length_m : float
        Cable length [m], > 0.

    Returns
    -------
    float
        1/(2*pi*R*C*L) [Hz].

    Raises
    ------
    DomainError
        If an argument is not above 0.

    Notes
    -----
    The cable is taken as one lump, which holds while it is short against the wavelength.

    Source: first-order low-pass (common practice).  Checked: tests/published/test_scipy_cable_low_pass.py.

    Examples
    --------
    >>> round(cable_bandwidth_hz(50.0, 200.0, 300.0) / 1000, 2)
    53.05
    """
    farads = (
        positive("capacitance_pf_per_m", capacitance_pf_per_m, "pF/m")
        * 1e-12
        * positive("length_m", length_m, "m")
    )
    return 1 / (2 * pi * positive("source_ohm", source_ohm, "ohm") * farads)
