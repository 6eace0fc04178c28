"""Limits of casing vibration, velocity in mm/s root mean square, 10 to 1000 Hz."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from specapp.kernel.arguments import non_negative, one_of, positive

__all__ = ["ZoneBoundaries", "alarm_from_baseline_rms_mm_s", "zone", "zone_boundaries_rms_mm_s"]


class ZoneBoundaries(NamedTuple):
    """Boundaries between the evaluation zones A to D [mm/s r.m.s.]; `ab` is between A and B."""

    ab: float
    bc: float
    cd: float


_BOUNDARIES: Final = {
    (1, "rigid"): ZoneBoundaries(2.3, 4.5, 7.1),
    (1, "flexible"): ZoneBoundaries(3.5, 7.1, 11.0),
    (2, "rigid"): ZoneBoundaries(1.4, 2.8, 4.5),
    (2, "flexible"): ZoneBoundaries(2.3, 4.5, 7.1),
}


def zone_boundaries_rms_mm_s(group: int, support: str) -> ZoneBoundaries:
    """Return the boundaries of the evaluation zones of casing vibration.

    Parameters
    ----------
    group : int
        Machine group, 1 (above 300 kW) or 2 (15 to 300 kW).
    support : str
        "rigid" or "flexible".

    Returns
    -------
    ZoneBoundaries
        A/B, B/C and C/D [mm/s r.m.s.].

    Raises
    ------
    DomainError
        If the group or the support is none of those.

    Notes
    -----
    Source: ISO 20816-3 (published in secondary copies).
    Checked: tests/published/test_iso_20816_3_casing.py.

    Examples
    --------
    >>> zone_boundaries_rms_mm_s(1, "rigid")
    ZoneBoundaries(ab=2.3, bc=4.5, cd=7.1)
    """
    one_of("group", group, (1, 2))
    one_of("support", support, ("rigid", "flexible"))
    return _BOUNDARIES[int(group), support]


def zone(velocity_rms_mm_s: float, group: int, support: str) -> Literal["A", "B", "C", "D"]:
    """Return the evaluation zone of a casing vibration.

    Parameters
    ----------
    velocity_rms_mm_s : float
        Casing vibration, the largest direction of the bearing [mm/s r.m.s.], >= 0.
    group : int
        Machine group, 1 (above 300 kW) or 2 (15 to 300 kW).
    support : str
        "rigid" or "flexible".

    Returns
    -------
    {"A", "B", "C", "D"}
        The zone; a value on a boundary belongs to the better zone (a limit is met when not exceeded).

    Raises
    ------
    DomainError
        If the vibration is negative, or the group or the support unknown.

    Notes
    -----
    Source: ISO 20816-3 (published in secondary copies); the boundary rule is common practice.
    Checked: tests/published/test_iso_20816_3_casing.py.

    Examples
    --------
    >>> [zone(velocity, 1, "rigid") for velocity in (2.0, 3.0, 5.0, 8.0)]
    ['A', 'B', 'C', 'D']
    """
    non_negative("velocity_rms_mm_s", velocity_rms_mm_s, "mm/s")
    ab, bc, cd = zone_boundaries_rms_mm_s(group, support)
    if velocity_rms_mm_s <= ab:
        return "A"
    if velocity_rms_mm_s <= bc:
        return "B"
    return "C" if velocity_rms_mm_s <= cd else "D"


def alarm_from_baseline_rms_mm_s(
    baseline_rms_mm_s: float, bc_rms_mm_s: float, share_of_bc: float = 0.25, cap_of_bc: float = 1.25
) -> float:
    """Return the alarm that follows from a steady baseline of the machine.

    Parameters
    ----------
    baseline_rms_mm_s : float
        Steady casing vibration [mm/s r.m.s.], >= 0.
    bc_rms_mm_s : float
        Boundary B/C of the machine [mm/s r.m.s.], > 0.
    share_of_bc : float
        Step above the baseline, as a share of B/C, >= 0.
    cap_of_bc : float
        Largest alarm, as a multiple of B/C, > 0.

    Returns
    -------
    float
        min(baseline + share*B/C, cap*B/C) [mm/s r.m.s.].

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: ISO 20816-3 (from memory).  Checked: tests/published/test_iso_20816_3_casing.py.

    Examples
    --------
    >>> alarm_from_baseline_rms_mm_s(0.8, 4.5)
    1.925
    """
    bc = positive("bc_rms_mm_s", bc_rms_mm_s, "mm/s")
    stepped = (
        non_negative("baseline_rms_mm_s", baseline_rms_mm_s, "mm/s")
        + non_negative("share_of_bc", share_of_bc) * bc
    )
    return min(stepped, positive("cap_of_bc", cap_of_bc) * bc)
