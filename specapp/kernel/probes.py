"""Geometry and voltages of proximity probes.

The gap signal is negative: V = -10 - 7.87*x, with x [mm] positive away from the tip and 0 at mid gap.
"""

from __future__ import annotations

from math import sqrt
from typing import Final, Literal

from specapp.kernel.arguments import finite, non_negative, one_of, positive
from specapp.kernel.errors import DomainError

__all__ = [
    "MID_GAP_V",
    "SCALE_FACTOR_V_PER_MM",
    "axial_gap_voltage_v",
    "axial_offset_mm",
    "displacement_mm",
    "fault_margin_v",
    "gap_voltage_v",
    "pair_tip_spacing_mm",
    "pulse_height_v",
    "radial_excursion_mm",
]

MID_GAP_V: Final = -10.0
SCALE_FACTOR_V_PER_MM: Final = 7.87


def pair_tip_spacing_mm(shaft_diameter_mm: float, gap_mm: float = 1.27) -> float:
    """Return the distance between the tips of two probes 90 degrees apart, to hold against cross-talk.

    Parameters
    ----------
    shaft_diameter_mm : float
        Diameter of the probe track [mm], > 0.
    gap_mm : float
        Gap between tip and track [mm], >= 0.

    Returns
    -------
    float
        Distance between the centres of the two tip faces [mm].

    Raises
    ------
    DomainError
        If the diameter is not above 0 or the gap negative.

    Notes
    -----
    Source: geometry (common practice).

    Examples
    --------
    >>> round(pair_tip_spacing_mm(60.0), 2)
    44.22
    """
    radius_mm = positive("shaft_diameter_mm", shaft_diameter_mm, "mm") / 2
    return sqrt(2) * (radius_mm + non_negative("gap_mm", gap_mm, "mm"))


def axial_offset_mm(spacing_mm: float, minimum_mm: float) -> float:
    """Return how far to shift one probe of a pair along the shaft to keep the tips apart.

    Parameters
    ----------
    spacing_mm : float
        Distance of the tips in one plane [mm], >= 0.
    minimum_mm : float
        Least distance between the tips [mm], >= 0.

    Returns
    -------
    float
        Axial offset [mm]; 0 where the spacing is enough already.

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Source: geometry (common practice).

    Examples
    --------
    >>> axial_offset_mm(24.0, 40.0), axial_offset_mm(44.0, 40.0)
    (32.0, 0.0)
    """
    non_negative("spacing_mm", spacing_mm, "mm")
    if spacing_mm >= non_negative("minimum_mm", minimum_mm, "mm"):
        return 0.0
    return sqrt((minimum_mm - spacing_mm) * (minimum_mm + spacing_mm))


def gap_voltage_v(
    displacement_mm: float, scale_factor_v_per_mm: float = SCALE_FACTOR_V_PER_MM, mid_gap_v: float = MID_GAP_V
) -> float:
    """Return the gap voltage of a probe whose target has moved.

    Parameters
    ----------
    displacement_mm : float
        Movement of the target from mid gap, positive away from the tip [mm].
    scale_factor_v_per_mm : float
        Scale factor [V/mm], > 0; 7.87 V/mm is 200 mV/mil.
    mid_gap_v : float
        Voltage at mid gap [V], negative.

    Returns
    -------
    float
        Gap voltage [V]; more negative as the gap opens.

    Raises
    ------
    DomainError
        If an argument is not a finite number or the scale factor not above 0.

    Notes
    -----
    The straight line is not limited here: a real system leaves it at the ends of its linear range.

    Source: API 670 for the scale factor (from memory), common practice for -10 V at mid gap.

    Examples
    --------
    >>> gap_voltage_v(0.0), round(gap_voltage_v(0.5), 3), round(gap_voltage_v(-0.5), 3)
    (-10.0, -13.935, -6.065)
    """
    finite("displacement_mm", displacement_mm, "mm")
    positive("scale_factor_v_per_mm", scale_factor_v_per_mm, "V/mm")
    return finite("mid_gap_v", mid_gap_v, "V") - scale_factor_v_per_mm * displacement_mm


def displacement_mm(
    gap_v: float, scale_factor_v_per_mm: float = SCALE_FACTOR_V_PER_MM, mid_gap_v: float = MID_GAP_V
) -> float:
    """Return the movement of a target from its gap voltage.

    Parameters
    ----------
    gap_v : float
        Gap voltage [V], negative in service.
    scale_factor_v_per_mm : float
        Scale factor [V/mm], > 0.
    mid_gap_v : float
        Voltage at mid gap [V].

    Returns
    -------
    float
        Movement from mid gap, positive away from the tip [mm].

    Raises
    ------
    DomainError
        If an argument is not a finite number or the scale factor not above 0.

    Notes
    -----
    Source: API 670 for the scale factor (from memory), common practice for -10 V at mid gap.

    Examples
    --------
    >>> displacement_mm(-10.0), round(displacement_mm(-13.935), 3)
    (0.0, 0.5)
    """
    finite("gap_v", gap_v, "V")
    positive("scale_factor_v_per_mm", scale_factor_v_per_mm, "V/mm")
    return (finite("mid_gap_v", mid_gap_v, "V") - gap_v) / scale_factor_v_per_mm


def axial_gap_voltage_v(position_mm: float, looks_toward: Literal["active", "inactive"]) -> float:
    """Return the gap voltage of an axial probe at a rotor position, zero position at mid gap.

    Parameters
    ----------
    position_mm : float
        Axial position from mid float, positive in the active thrust direction [mm].
    looks_toward : {"active", "inactive"}
        Direction in which the tip points. "active": positive movement runs away from the tip and opens the
        gap; "inactive": it closes the gap.

    Returns
    -------
    float
        Gap voltage [V].

    Raises
    ------
    DomainError
        If the position is not a finite number or the direction unknown.

    Notes
    -----
    Source: API 670 for the scale factor (from memory), common practice for -10 V at mid gap.

    Examples
    --------
    >>> round(axial_gap_voltage_v(0.5, "active"), 3), round(axial_gap_voltage_v(0.5, "inactive"), 3)
    (-13.935, -6.065)
    """
    one_of("looks_toward", looks_toward, ("active", "inactive"))
    return gap_voltage_v(position_mm if looks_toward == "active" else -position_mm)


def fault_margin_v(gap_v: float, near_limit_v: float, far_limit_v: float) -> float:
    """Return how far a gap voltage is inside the band in which the channel counts as healthy.

    Parameters
    ----------
    gap_v : float
        Gap voltage [V].
    near_limit_v : float
        Fault limit of the closed gap [V], such as -2.
    far_limit_v : float
        Fault limit of the open gap [V], such as -18, below the near limit.

    Returns
    -------
    float
        Distance to the nearer of the two limits [V]; negative outside the band.

    Raises
    ------
    DomainError
        If an argument is not a finite number or the far limit not below the near one.

    Notes
    -----
    A trip whose voltage lies outside the band is never given: the channel is declared faulty before it.

    Source: common practice.

    Examples
    --------
    >>> fault_margin_v(-13.0, -2.0, -18.0), fault_margin_v(-19.0, -2.0, -18.0)
    (5.0, -1.0)
    """
    finite("gap_v", gap_v, "V")
    finite("far_limit_v", far_limit_v, "V")
    if finite("near_limit_v", near_limit_v, "V") <= far_limit_v:
        raise DomainError("far_limit_v", far_limit_v, f"below the near limit, {near_limit_v:g} V", "V")
    return min(near_limit_v - gap_v, gap_v - far_limit_v)


def pulse_height_v(notch_depth_mm: float, scale_factor_v_per_mm: float = SCALE_FACTOR_V_PER_MM) -> float:
    """Return the height of the pulse of a phase probe over a notch.

    Parameters
    ----------
    notch_depth_mm : float
        Depth of the notch [mm], > 0.
    scale_factor_v_per_mm : float
        Scale factor [V/mm], > 0.

    Returns
    -------
    float
        Pulse height [V]; the supply and the end of the linear range limit the real one.

    Raises
    ------
    DomainError
        If an argument is not above 0.

    Notes
    -----
    Source: common practice.

    Examples
    --------
    >>> round(pulse_height_v(1.5), 1)
    11.8
    """
    return positive("notch_depth_mm", notch_depth_mm, "mm") * positive(
        "scale_factor_v_per_mm", scale_factor_v_per_mm, "V/mm"
    )


def radial_excursion_mm(
    trip_pp_um: float, diametral_clearance_mm: float, multiplier: float = 1.0, gap_tolerance_mm: float = 0.13
) -> float:
    """Return how far from mid gap a radial probe must still read on a straight line.

    Parameters
    ----------
    trip_pp_um : float
        Trip of the shaft vibration [um peak to peak], >= 0.
    diametral_clearance_mm : float
        Diametral clearance of the bearing, through which the shaft can lift or settle [mm], >= 0.
    multiplier : float
        Setpoint multiplier of the start, >= 1.
    gap_tolerance_mm : float
        Tolerance of the gap setting [mm], >= 0.

    Returns
    -------
    float
        multiplier*trip/2 + tolerance + clearance [mm].

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: API 670 (from memory).

    Examples
    --------
    >>> round(radial_excursion_mm(40.0, 0.09), 3)
    0.24
    """
    if finite("multiplier", multiplier) < 1:
        raise DomainError("multiplier", multiplier, "at least 1")
    half_trip_mm = multiplier * non_negative("trip_pp_um", trip_pp_um, "um") / 2000
    clearance_mm = non_negative("diametral_clearance_mm", diametral_clearance_mm, "mm")
    return half_trip_mm + non_negative("gap_tolerance_mm", gap_tolerance_mm, "mm") + clearance_mm
