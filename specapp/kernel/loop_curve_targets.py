"""Families of shaft materials by the scale factor that they give a probe."""

from __future__ import annotations

from typing import Final, NamedTuple

from specapp.kernel.arguments import positive

__all__ = ["TargetFamily", "target_families"]


class TargetFamily(NamedTuple):
    """A family of shaft materials and the scale factor that a system set for 4140 steel shows on it
    [V/mm]."""

    name: str
    scale_factor_v_per_mm: float


# From memory: rounded figures of public charts, for a system set to 7.87 V/mm on AISI 4140. They tell
# families
# apart, they calibrate nothing.
_FAMILIES: Final = (
    TargetFamily("chromium-molybdenum steel such as AISI 4140", 7.87),
    TargetFamily("precipitation-hardening stainless steel such as 17-4PH", 8.3),
    TargetFamily("austenitic stainless steel or nickel alloy", 7.3),
    TargetFamily("tungsten carbide", 11.4),
    TargetFamily("aluminium or copper", 14.6),
)
_FAMILY_WIDTH: Final = 0.025


def target_families(scale_factor_v_per_mm: float) -> tuple[TargetFamily, ...]:
    """Return the families of shaft materials that an average scale factor is like.

    Parameters
    ----------
    scale_factor_v_per_mm : float
        Average scale factor [V/mm], > 0, of a system set to 7.87 V/mm on AISI 4140.

    Returns
    -------
    tuple of TargetFamily
        Families within 2.5 percent, the nearest first; empty where it is like none, which speaks for a wrong
        cable length or a part of another system.

    Raises
    ------
    DomainError
        If the scale factor is not above 0.

    Notes
    -----
    A hint where to look, no proof of a material.

    Source: rounded figures of public charts (from memory).

    Examples
    --------
    >>> target_families(7.9)[0].name
    'chromium-molybdenum steel such as AISI 4140'
    >>> target_families(10.0)
    ()
    """
    positive("scale_factor_v_per_mm", scale_factor_v_per_mm, "V/mm")

    def off(family: TargetFamily) -> float:
        return abs(scale_factor_v_per_mm / family.scale_factor_v_per_mm - 1)

    return tuple(sorted((each for each in _FAMILIES if off(each) <= _FAMILY_WIDTH), key=off))
