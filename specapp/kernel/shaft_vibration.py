"""Limits of shaft vibration, all of the shaft relative to its bearing, in micrometres peak to peak."""

from __future__ import annotations

from math import sqrt
from typing import Final, Literal, NamedTuple

from specapp.kernel.arguments import non_negative, positive

__all__ = [
    "ZoneBoundaries",
    "acceptance_limit_pp_um",
    "acceptance_limit_uncapped_pp_um",
    "is_in_zone_speed_range",
    "runout_allowance_pp_um",
    "significant_change_pp_um",
    "zone",
    "zone_boundaries_pp_um",
]

_SPEED_RANGE_RPM: Final = (120.0, 30_000.0)


class ZoneBoundaries(NamedTuple):
    """Boundaries between the evaluation zones A to D [um peak to peak]; `ab` is between A and B."""

    ab: float
    bc: float
    cd: float


def acceptance_limit_uncapped_pp_um(speed_rpm: float) -> float:
    """Return the curve of the acceptance limit before any cap.

    Parameters
    ----------
    speed_rpm : float
        Maximum continuous speed of that very shaft [rpm], > 0.

    Returns
    -------
    float
        25.4*sqrt(12 000/N) [um peak to peak].

    Raises
    ------
    DomainError
        If the speed is not above 0.

    Notes
    -----
    Source: API 617 (published in secondary copies).  Checked: tests/published/test_api_617_acceptance.py.

    Examples
    --------
    >>> acceptance_limit_uncapped_pp_um(3000.0)
    50.8
    """
    return 25.4 * sqrt(12_000 / positive("speed_rpm", speed_rpm, "rpm"))


def acceptance_limit_pp_um(speed_rpm: float, cap_um: float = 25.4) -> float:
    """Return what a new machine must show on test; it is not an alarm.

    Parameters
    ----------
    speed_rpm : float
        Maximum continuous speed of that very shaft [rpm], > 0.
    cap_um : float
        Largest value of the limit [um peak to peak], > 0.

    Returns
    -------
    float
        Acceptance limit [um peak to peak]: the curve above 12 000 rpm, the cap below (for a cap of 25.4).

    Raises
    ------
    DomainError
        If an argument is not above 0.

    Notes
    -----
    Source: API 617 (published in secondary copies).  Checked: tests/published/test_api_617_acceptance.py.

    Examples
    --------
    >>> acceptance_limit_pp_um(3000.0), round(acceptance_limit_pp_um(20_000.0), 2)
    (25.4, 19.67)
    """
    return min(acceptance_limit_uncapped_pp_um(speed_rpm), positive("cap_um", cap_um, "um"))


def zone_boundaries_pp_um(speed_rpm: float) -> ZoneBoundaries:
    """Return the boundaries of the evaluation zones of shaft vibration.

    Parameters
    ----------
    speed_rpm : float
        Maximum continuous speed of that very shaft [rpm], > 0. The standard covers 120 to 30 000 rpm; outside
        the formula is still computed, and `is_in_zone_speed_range` tells.

    Returns
    -------
    ZoneBoundaries
        4800, 9000 and 13 200 over the square root of the speed [um peak to peak].

    Raises
    ------
    DomainError
        If the speed is not above 0.

    Notes
    -----
    Source: ISO 7919-3 and ISO 20816-3 (published in secondary copies).
    Checked: tests/published/test_iso_20816_3_shaft.py.

    Examples
    --------
    >>> zone_boundaries_pp_um(10_000.0)
    ZoneBoundaries(ab=48.0, bc=90.0, cd=132.0)
    """
    root = sqrt(positive("speed_rpm", speed_rpm, "rpm"))
    return ZoneBoundaries(4800 / root, 9000 / root, 13_200 / root)


def is_in_zone_speed_range(speed_rpm: float) -> bool:
    """Tell whether the standard of the evaluation zones covers this speed.

    Parameters
    ----------
    speed_rpm : float
        Maximum continuous speed [rpm], > 0.

    Returns
    -------
    bool
        True from 120 to 30 000 rpm, both included.

    Raises
    ------
    DomainError
        If the speed is not above 0.

    Notes
    -----
    Source: ISO 20816-3, scope (published).

    Examples
    --------
    >>> is_in_zone_speed_range(30_000.0), is_in_zone_speed_range(30_001.0)
    (True, False)
    """
    low, high = _SPEED_RANGE_RPM
    return low <= positive("speed_rpm", speed_rpm, "rpm") <= high


def zone(displacement_pp_um: float, speed_rpm: float) -> Literal["A", "B", "C", "D"]:
    """Return the evaluation zone of a shaft vibration.

    Parameters
    ----------
    displacement_pp_um : float
        Shaft vibration, the larger of the two directions [um peak to peak], >= 0.
    speed_rpm : float
        Maximum continuous speed of that very shaft [rpm], > 0.

    Returns
    -------
    {"A", "B", "C", "D"}
        The zone; a value on a boundary belongs to the better zone (a limit is met when not exceeded).

    Raises
    ------
    DomainError
        If the vibration is negative or the speed not above 0.

    Notes
    -----
    Source: ISO 20816-3 (published in secondary copies); the boundary rule is common practice.

    Examples
    --------
    >>> zone(48.0, 10_000.0), zone(48.1, 10_000.0), zone(132.1, 10_000.0)
    ('A', 'B', 'D')
    """
    non_negative("displacement_pp_um", displacement_pp_um, "um")
    ab, bc, cd = zone_boundaries_pp_um(speed_rpm)
    if displacement_pp_um <= ab:
        return "A"
    if displacement_pp_um <= bc:
        return "B"
    return "C" if displacement_pp_um <= cd else "D"


def significant_change_pp_um(speed_rpm: float, share_of_bc: float = 0.25) -> float:
    """Return the change of a steady vibration that calls for a look, whatever the level.

    Parameters
    ----------
    speed_rpm : float
        Maximum continuous speed of that very shaft [rpm], > 0.
    share_of_bc : float
        Share of the B/C boundary, >= 0.

    Returns
    -------
    float
        Change [um peak to peak], up or down.

    Raises
    ------
    DomainError
        If the speed is not above 0 or the share negative.

    Notes
    -----
    Source: ISO 7919-3 and ISO 20816-3, criterion II (published in secondary copies).
    Checked: tests/published/test_iso_20816_3_shaft.py.

    Examples
    --------
    >>> significant_change_pp_um(10_000.0)
    22.5
    """
    return non_negative("share_of_bc", share_of_bc) * zone_boundaries_pp_um(speed_rpm).bc


def runout_allowance_pp_um(acceptance_limit_um: float, share: float = 0.25, floor_um: float = 6.35) -> float:
    """Return the electrical and mechanical runout allowed of a probe track.

    Parameters
    ----------
    acceptance_limit_um : float
        Acceptance limit of the shaft vibration [um peak to peak], > 0.
    share : float
        Share of that limit, >= 0.
    floor_um : float
        Runout allowed in any case [um peak to peak], >= 0.

    Returns
    -------
    float
        Runout allowed [um peak to peak], the larger of the two.

    Raises
    ------
    DomainError
        If the limit is not above 0 or another argument negative.

    Notes
    -----
    Source: API 617 and API 670 (from memory).

    Examples
    --------
    >>> runout_allowance_pp_um(25.4), runout_allowance_pp_um(40.0)
    (6.35, 10.0)
    """
    by_share = non_negative("share", share) * positive("acceptance_limit_um", acceptance_limit_um, "um")
    return max(by_share, non_negative("floor_um", floor_um, "um"))
