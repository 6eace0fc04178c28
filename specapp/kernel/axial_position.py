"""Limits of the axial position of a rotor.

Zero is the middle of the float, positive the active thrust direction. Limits are symmetrical: the value given
is the distance from zero on both sides.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from specapp.kernel.arguments import non_negative, positive
from specapp.kernel.errors import DomainError

__all__ = ["AxialAllowance", "AxialLimits", "allowance_mm", "limits_mm"]

Term = Literal["allowance_cap", "babbitt_share", "rub_share"]


@dataclass(frozen=True, slots=True)
class AxialAllowance:
    """Movement allowed beyond the float, and the term that governs it.

    `value_mm` is the smallest of the three terms [mm]; `governed_by` names it (the first of equals, in the
    order of the fields). `rub_share_mm` is None where no impeller clearance was given.
    """

    value_mm: float
    governed_by: Term
    allowance_cap_mm: float
    babbitt_share_mm: float
    rub_share_mm: float | None


@dataclass(frozen=True, slots=True)
class AxialLimits:
    """Alarm and trip, as distances from mid float [mm], and the allowance that they rest on.

    `alarm_governed_by` is "alarm_cap" where the fixed step governs and "alarm_share" where the share of the
    allowance does.
    """

    alarm_mm: float
    trip_mm: float
    allowance: AxialAllowance
    alarm_governed_by: Literal["alarm_cap", "alarm_share"]


def allowance_mm(
    float_mm: float,
    babbitt_mm: float,
    impeller_clearance_mm: float | None = None,
    *,
    cap_mm: float,
    babbitt_share: float,
    rub_share: float,
) -> AxialAllowance:
    """Return how far a rotor may move beyond its float before it must stop.

    Parameters
    ----------
    float_mm : float
        Total axial float between the thrust faces [mm], >= 0.
    babbitt_mm : float
        Thickness of the thrust babbitt [mm], > 0.
    impeller_clearance_mm : float or None
        Smallest axial gap of any impeller that moves with the rotor, rotor at mid float [mm], more than half
        the float. None where unknown: that term is then left out.
    cap_mm : float
        Largest allowance [mm], > 0.
    babbitt_share : float
        Share of the babbitt that may wear, > 0.
    rub_share : float
        Share of the way from the end of the float to the rub that may be used, > 0.

    Returns
    -------
    AxialAllowance
        The smallest of cap, babbitt share and rub share, and which one it is.

    Raises
    ------
    DomainError
        If an argument is outside its range; in particular if the impeller would rub inside the float.

    Notes
    -----
    An open impeller touches its shroud long before the thrust pad has lost its babbitt, which is why the gap
    at the impeller counts.

    Source: common practice.  Checked: tests/published/test_thrust_position_training.py.

    Examples
    --------
    >>> found = allowance_mm(0.35, 0.76, 0.6, cap_mm=0.5, babbitt_share=0.5, rub_share=0.7)
    >>> round(found.value_mm, 4), found.governed_by
    (0.2975, 'rub_share')
    """
    non_negative("float_mm", float_mm, "mm")
    by_babbitt = positive("babbitt_share", babbitt_share) * positive("babbitt_mm", babbitt_mm, "mm")
    positive("rub_share", rub_share)
    value = positive("cap_mm", cap_mm, "mm")
    governed_by: Term = "allowance_cap"
    if by_babbitt < value:
        value, governed_by = by_babbitt, "babbitt_share"
    by_rub = None
    if impeller_clearance_mm is not None:
        positive("impeller_clearance_mm", impeller_clearance_mm, "mm")
        if impeller_clearance_mm <= float_mm / 2:
            raise DomainError(
                "impeller_clearance_mm",
                impeller_clearance_mm,
                f"above half the float, {float_mm / 2:g} mm",
                "mm",
            )
        by_rub = rub_share * (impeller_clearance_mm - float_mm / 2)
        if by_rub < value:
            value, governed_by = by_rub, "rub_share"
    return AxialAllowance(value, governed_by, cap_mm, by_babbitt, by_rub)


def limits_mm(
    float_mm: float, allowance: AxialAllowance, *, alarm_cap_mm: float, alarm_share: float
) -> AxialLimits:
    """Return the alarm and the trip of an axial position.

    Parameters
    ----------
    float_mm : float
        Total axial float between the thrust faces [mm], >= 0.
    allowance : AxialAllowance
        Movement allowed beyond the float.
    alarm_cap_mm : float
        Largest step of the alarm beyond the float [mm], > 0.
    alarm_share : float
        Share of the allowance at which to alarm, above 0 and below 1.

    Returns
    -------
    AxialLimits
        trip = float/2 + allowance, alarm = float/2 + min(cap, share*allowance) [mm], on both sides of zero.

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: common practice.  Checked: tests/published/test_thrust_position_training.py.

    Examples
    --------
    >>> allowed = allowance_mm(0.35, 0.76, cap_mm=0.5, babbitt_share=0.5, rub_share=0.7)
    >>> found = limits_mm(0.35, allowed, alarm_cap_mm=0.25, alarm_share=0.65)
    >>> round(found.alarm_mm, 4), round(found.trip_mm, 4), found.alarm_governed_by
    (0.422, 0.555, 'alarm_share')
    """
    half = non_negative("float_mm", float_mm, "mm") / 2
    if positive("alarm_share", alarm_share) >= 1:
        raise DomainError("alarm_share", alarm_share, "above 0 and below 1")
    by_share = alarm_share * allowance.value_mm
    by_cap = positive("alarm_cap_mm", alarm_cap_mm, "mm")
    if by_share < by_cap:
        return AxialLimits(half + by_share, half + allowance.value_mm, allowance, "alarm_share")
    return AxialLimits(half + by_cap, half + allowance.value_mm, allowance, "alarm_cap")
