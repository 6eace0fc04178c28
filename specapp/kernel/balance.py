"""Residual unbalance of a rotor."""

from __future__ import annotations

from specapp.kernel.arguments import positive

__all__ = ["residual_unbalance_g_mm"]


def residual_unbalance_g_mm(journal_load_kg: float, speed_rpm: float) -> float:
    """Return the residual unbalance allowed in one correction plane.

    Parameters
    ----------
    journal_load_kg : float
        Static load of the journal next to the plane, as a mass [kg], > 0.
    speed_rpm : float
        Maximum continuous speed [rpm], > 0.

    Returns
    -------
    float
        6350*W/N [g mm].

    Raises
    ------
    DomainError
        If an argument is not above 0.

    Notes
    -----
    Source: API 617 (published in secondary copies).  Checked: tests/published/test_api_617_acceptance.py.

    Examples
    --------
    >>> residual_unbalance_g_mm(100.0, 10_000.0)
    63.5
    """
    return 6350 * positive("journal_load_kg", journal_load_kg, "kg") / positive("speed_rpm", speed_rpm, "rpm")
