"""Slow-roll runout taken off a vibration as vectors of the 1X component."""

from __future__ import annotations

from cmath import phase, rect
from math import degrees, radians
from typing import NamedTuple

from specapp.kernel.arguments import finite, non_negative, positive

__all__ = ["RunoutVector", "compensated", "runout_share", "vector_sum"]


class RunoutVector(NamedTuple):
    """A 1X vector: size [um peak to peak], phase lag [deg], 0 to below 360."""

    displacement_pp_um: float
    phase_lag_deg: float


def _complex(name: str, vector: tuple[float, float]) -> complex:
    size, lag = vector
    non_negative(f"{name}.displacement_pp_um", size, "um")
    return rect(size, radians(finite(f"{name}.phase_lag_deg", lag, "deg")))


def _vector(value: complex) -> RunoutVector:
    if abs(value) < 1e-9:
        return RunoutVector(0.0, 0.0)
    lag = degrees(phase(value)) % 360
    return RunoutVector(abs(value), 0.0 if lag >= 360 - 1e-9 else lag)


def compensated(total: tuple[float, float], slow_roll: tuple[float, float]) -> RunoutVector:
    """Return the vibration of the rotor itself: what is shown less the runout seen at slow roll.

    Parameters
    ----------
    total : (float, float)
        1X shown at speed: size [um peak to peak], >= 0, and phase lag [deg].
    slow_roll : (float, float)
        1X shown at slow roll of the same probe, same phase reference: size [um peak to peak], >= 0, and lag
        [deg].

    Returns
    -------
    RunoutVector
        The difference of the two vectors; a zero vector has phase 0.

    Raises
    ------
    DomainError
        If a size is negative or a number not finite.

    Notes
    -----
    Only the 1X is compensated; the overall peak to peak of a channel is shown and tripped on as it is.

    Source: vector arithmetic; practice of API 617 and 670 (from memory).  Checked:
    tests/kernel/test_runout.py.

    Examples
    --------
    >>> found = compensated((20.0, 90.0), (6.0, 90.0))
    >>> round(found.displacement_pp_um, 6), round(found.phase_lag_deg, 6)
    (14.0, 90.0)
    >>> round(compensated((8.0, 90.0), (6.0, 0.0)).displacement_pp_um, 6)
    10.0
    """
    return _vector(_complex("total", total) - _complex("slow_roll", slow_roll))


def vector_sum(first: tuple[float, float], second: tuple[float, float]) -> RunoutVector:
    """Return the sum of two 1X vectors, such as a rotor's own vibration and the runout of a track.

    Parameters
    ----------
    first : (float, float)
        Size [um peak to peak], >= 0, and phase lag [deg].
    second : (float, float)
        Size [um peak to peak], >= 0, and phase lag [deg].

    Returns
    -------
    RunoutVector
        The sum.

    Raises
    ------
    DomainError
        If a size is negative or a number not finite.

    Notes
    -----
    Source: vector arithmetic.

    Examples
    --------
    >>> vector_sum((3.0, 0.0), (3.0, 180.0))
    RunoutVector(displacement_pp_um=0.0, phase_lag_deg=0.0)
    """
    return _vector(_complex("first", first) + _complex("second", second))


def runout_share(runout_pp_um: float, limit_pp_um: float) -> float:
    """Return the share of a limit that a measured runout takes.

    Parameters
    ----------
    runout_pp_um : float
        Electrical and mechanical runout, unfiltered, at slow roll [um peak to peak], >= 0.
    limit_pp_um : float
        Runout allowed, or another limit [um peak to peak], > 0.

    Returns
    -------
    float
        Runout over limit; above 1 it fails.

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: API 617 and 670 (from memory).

    Examples
    --------
    >>> runout_share(3.175, 6.35)
    0.5
    """
    return non_negative("runout_pp_um", runout_pp_um, "um") / positive("limit_pp_um", limit_pp_um, "um")
