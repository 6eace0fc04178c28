"""Intrinsically safe circuits: entity comparison, cable length, and what a linear source can give.

A certificate governs: its figures override every formula here. Co and Lo hold for one gas group; take
those of the group of the area.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final, Literal

from specapp.kernel.area_classes import is_level_at_least
from specapp.kernel.arguments import non_negative, one_of, positive
from specapp.kernel.errors import DomainError, OutOfRange

__all__ = [
    "CircuitSource",
    "FieldDevice",
    "LinearSource",
    "LongestCable",
    "entity_problems",
    "inductance_from_energy_mh",
    "inductance_per_resistance_uh_per_ohm",
    "linear_source",
    "longest_cable_m",
    "weakest_level",
]

_GROUPS: Final = ("I", "IIA", "IIB", "IIB+H2", "IIC")
# Least ignition energies with their margins [J]. Hydrogen sets the value of IIB+H2 as it does that of IIC.
_ENERGY_J: Final = {"I": 525e-6, "IIA": 320e-6, "IIB": 160e-6, "IIB+H2": 40e-6, "IIC": 40e-6}
_HALVED_CAP_NF: Final = {"I": 1000.0, "IIA": 1000.0, "IIB": 1000.0, "IIB+H2": 600.0, "IIC": 600.0}
_NEGLIGIBLE: Final = 0.01


@dataclass(frozen=True, slots=True)
class LongestCable:
    """Longest cable of a circuit [m], the property that governs, and whether Co and Lo were halved for it.

    `co_nf` and `lo_mh` are the values that were used, after halving and cap.
    """

    length_m: float
    governed_by: Literal["capacitance", "inductance"]
    halved: bool
    co_nf: float
    lo_mh: float


@dataclass(frozen=True, slots=True)
class LinearSource:
    """Largest current [mA] and power [W] of a source with a resistor in series."""

    io_ma: float
    po_w: float


@dataclass(frozen=True, slots=True)
class CircuitSource:
    """Output limits of associated apparatus, from its certificate, for one gas group."""

    uo_v: float
    io_ma: float
    po_w: float
    co_nf: float
    lo_mh: float


@dataclass(frozen=True, slots=True)
class FieldDevice:
    """Input limits of intrinsically safe apparatus, from its certificate."""

    ui_v: float
    ii_ma: float
    pi_w: float
    ci_nf: float
    li_uh: float


def _halved(
    co_nf: float, ci_nf: float, lo_mh: float, li_uh: float, gas_group: str
) -> tuple[float, float, bool]:
    one_of("gas_group", gas_group, _GROUPS)
    positive("co_nf", co_nf, "nF")
    positive("lo_mh", lo_mh, "mH")
    non_negative("ci_nf", ci_nf, "nF")
    non_negative("li_uh", li_uh, "uH")
    if ci_nf > _NEGLIGIBLE * co_nf and li_uh > _NEGLIGIBLE * lo_mh * 1000:
        return min(co_nf / 2, _HALVED_CAP_NF[gas_group]), lo_mh / 2, True
    return co_nf, lo_mh, False


def longest_cable_m(
    *,
    co_nf: float,
    ci_nf: float,
    lo_mh: float,
    li_uh: float,
    cable_pf_per_m: float = 200.0,
    cable_uh_per_m: float = 1.0,
    gas_group: str = "IIC",
) -> LongestCable:
    """Return the longest cable of an intrinsically safe circuit.

    Parameters
    ----------
    co_nf : float
        External capacitance that the source permits in this gas group [nF], > 0.
    ci_nf : float
        Internal capacitance of the field device [nF], >= 0.
    lo_mh : float
        External inductance that the source permits in this gas group [mH], > 0.
    li_uh : float
        Internal inductance of the field device [uH], >= 0.
    cable_pf_per_m : float
        Capacitance of the cable [pF/m], > 0; 200 where unknown, to be confirmed.
    cable_uh_per_m : float
        Inductance of the cable [uH/m], > 0; 1 where unknown, to be confirmed.
    gas_group : str
        "I", "IIA", "IIB", "IIB+H2" or "IIC".

    Returns
    -------
    LongestCable
        Length [m], what governs it, and whether Co and Lo were halved.

    Raises
    ------
    DomainError
        If an argument is outside its range or the gas group unknown.
    OutOfRange
        If the field device alone takes more than the source permits, so that no cable fits.

    Notes
    -----
    Co and Lo are halved, and Co then capped at 600 nF (hydrogen) or 1 uF, where the device has both: more
    than 1 percent of Co and more than 1 percent of Lo. Editions of the standard differ in the cap.

    Source: IEC 60079-14:2013, 16.2.4.3 (published in secondary copies); cable defaults 16.2.2.2 (from
    memory).
    Checked: tests/kernel/test_intrinsic_safety.py.

    Examples
    --------
    >>> found = longest_cable_m(co_nf=83.0, ci_nf=5.0, lo_mh=4.2, li_uh=10.0)
    >>> round(found.length_m, 6), found.governed_by, found.halved
    (390.0, 'capacitance', False)
    """
    co, lo, halved = _halved(co_nf, ci_nf, lo_mh, li_uh, gas_group)
    if ci_nf > co:
        raise OutOfRange("ci_nf", ci_nf, f"up to the {co:g} nF that the source leaves", "nF")
    if li_uh > lo * 1000:
        raise OutOfRange("li_uh", li_uh, f"up to the {lo * 1000:g} uH that the source leaves", "uH")
    by_capacitance = (co - ci_nf) * 1000 / positive("cable_pf_per_m", cable_pf_per_m, "pF/m")
    by_inductance = (lo * 1000 - li_uh) / positive("cable_uh_per_m", cable_uh_per_m, "uH/m")
    if by_capacitance <= by_inductance:
        return LongestCable(by_capacitance, "capacitance", halved, co, lo)
    return LongestCable(by_inductance, "inductance", halved, co, lo)


def entity_problems(
    source: CircuitSource,
    device: FieldDevice,
    *,
    cable_length_m: float,
    cable_pf_per_m: float = 200.0,
    cable_uh_per_m: float = 1.0,
    gas_group: str = "IIC",
) -> list[str]:
    """Return every reason why a source, a cable and a field device do not make a safe circuit.

    Parameters
    ----------
    source : CircuitSource
        Output limits of the associated apparatus; for several channels the combined values.
    device : FieldDevice
        Input limits of the field device.
    cable_length_m : float
        Cable length [m], >= 0.
    cable_pf_per_m : float
        Capacitance of the cable [pF/m], >= 0.
    cable_uh_per_m : float
        Inductance of the cable [uH/m], >= 0.
    gas_group : str
        "I", "IIA", "IIB", "IIB+H2" or "IIC".

    Returns
    -------
    list of str
        Reasons, empty when the circuit is safe by this comparison.

    Raises
    ------
    DomainError
        If an argument is outside its range or the gas group unknown.

    Notes
    -----
    Source: IEC 60079-14:2013, 16.2.4.3 (published in secondary copies).
    Checked: tests/kernel/test_intrinsic_safety.py.

    Examples
    --------
    >>> safe = CircuitSource(28.0, 93.0, 0.65, 83.0, 4.2)
    >>> entity_problems(safe, FieldDevice(30.0, 100.0, 0.7, 5.0, 10.0), cable_length_m=400.0)
    ['capacitance of device and cable is 85 nF; the source permits 83 nF']
    """
    co, lo, _ = _halved(source.co_nf, device.ci_nf, source.lo_mh, device.li_uh, gas_group)
    length = non_negative("cable_length_m", cable_length_m, "m")
    capacitance = device.ci_nf + length * non_negative("cable_pf_per_m", cable_pf_per_m, "pF/m") / 1000
    inductance = device.li_uh / 1000 + length * non_negative("cable_uh_per_m", cable_uh_per_m, "uH/m") / 1000
    reasons = []
    for name, gives, takes, unit in (
        ("voltage", source.uo_v, device.ui_v, "V"),
        ("current", source.io_ma, device.ii_ma, "mA"),
        ("power", source.po_w, device.pi_w, "W"),
    ):
        if positive(f"{name} of the source", gives, unit) > positive(f"{name} of the device", takes, unit):
            reasons.append(f"{name} of the source is {gives:g} {unit}; the device permits {takes:g} {unit}")
    for name, sum_of, permits, unit in (
        ("capacitance", capacitance, co, "nF"),
        ("inductance", inductance, lo, "mH"),
    ):
        if sum_of > permits:
            reasons.append(
                f"{name} of device and cable is {sum_of:g} {unit}; the source permits {permits:g} {unit}"
            )
    return reasons


def weakest_level(*levels: str) -> str:
    """Return the equipment protection level of a circuit, that of its weakest part.

    Parameters
    ----------
    *levels : str
        "Ga", "Gb" or "Gc", one for each part, at least one.

    Returns
    -------
    str
        The least protective of them.

    Raises
    ------
    DomainError
        If there is none or one of them is unknown.

    Notes
    -----
    Source: IEC 60079-25 (from memory).

    Examples
    --------
    >>> weakest_level("Ga", "Gb")
    'Gb'
    """
    if not levels:
        raise DomainError("levels", "empty", "at least one equipment protection level")
    weakest = levels[0]
    for level in levels:
        if is_level_at_least(weakest, level):
            weakest = level
    return weakest


def linear_source(uo_v: float, resistance_ohm: float) -> LinearSource:
    """Return the largest current and power of a source with a resistor in series.

    Parameters
    ----------
    uo_v : float
        Open-circuit voltage [V], > 0.
    resistance_ohm : float
        Limiting resistance [ohm], > 0.

    Returns
    -------
    LinearSource
        Short-circuit current Uo/R [mA] and power into a matched load Uo*Io/4 [W].

    Raises
    ------
    DomainError
        If an argument is not above 0.

    Notes
    -----
    Source: Ohm's law.  Checked: tests/kernel/test_intrinsic_safety.py.

    Examples
    --------
    >>> found = linear_source(28.0, 300.0)
    >>> round(found.io_ma, 1), round(found.po_w, 3)
    (93.3, 0.653)
    """
    amps = positive("uo_v", uo_v, "V") / positive("resistance_ohm", resistance_ohm, "ohm")
    return LinearSource(amps * 1000, uo_v * amps / 4)


def inductance_per_resistance_uh_per_ohm(
    uo_v: float, resistance_ohm: float, gas_group: str = "IIC", li_uh: float = 0.0
) -> float:
    """Return the largest ratio of inductance to resistance of a cable on a linear source.

    Parameters
    ----------
    uo_v : float
        Open-circuit voltage [V], > 0.
    resistance_ohm : float
        Limiting resistance of the source [ohm], > 0.
    gas_group : str
        "I", "IIA", "IIB", "IIB+H2" or "IIC".
    li_uh : float
        Internal inductance of the field device [uH], >= 0.

    Returns
    -------
    float
        Ratio [uH/ohm].

    Raises
    ------
    DomainError
        If an argument is outside its range or the gas group unknown.
    OutOfRange
        If the inductance of the device leaves nothing for the cable.

    Notes
    -----
    Older documents took three times the IIC value for IIB where this formula gives four.

    Source: IEC 60079-11 (from memory).  Checked: tests/kernel/test_intrinsic_safety.py.

    Examples
    --------
    >>> round(inductance_per_resistance_uh_per_ohm(28.0, 300.0), 1)
    54.4
    """
    one_of("gas_group", gas_group, _GROUPS)
    energy = _ENERGY_J[gas_group]
    voltage = positive("uo_v", uo_v, "V")
    resistance = positive("resistance_ohm", resistance_ohm, "ohm")
    henry = non_negative("li_uh", li_uh, "uH") * 1e-6
    under_root = 64 * energy**2 * resistance**2 - 72 * voltage**2 * energy * henry
    if under_root < 0:
        most = 64 * energy * resistance**2 / (72 * voltage**2) * 1e6
        raise OutOfRange("li_uh", li_uh, f"up to {most:.4g} uH on this source", "uH")
    return (8 * energy * resistance + sqrt(under_root)) / (4.5 * voltage**2) * 1e6


def inductance_from_energy_mh(io_ma: float, gas_group: str = "IIC") -> float:
    """Return a first estimate of the inductance that a current permits, by energy alone.

    Parameters
    ----------
    io_ma : float
        Largest current [mA], > 0.
    gas_group : str
        "I", "IIA", "IIB", "IIB+H2" or "IIC".

    Returns
    -------
    float
        2*e/(1.5*Io)**2 [mH]; the ignition curves and the certificate govern.

    Raises
    ------
    DomainError
        If the current is not above 0 or the gas group unknown.

    Notes
    -----
    Source: IEC 60079-11 (from memory).  Checked: tests/kernel/test_intrinsic_safety.py.

    Examples
    --------
    >>> round(inductance_from_energy_mh(93.333), 2)
    4.08
    """
    one_of("gas_group", gas_group, _GROUPS)
    amps = 1.5 * positive("io_ma", io_ma, "mA") / 1000
    return 2 * _ENERGY_J[gas_group] / amps**2 * 1000
