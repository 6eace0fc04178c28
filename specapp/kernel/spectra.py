"""Where the components of a vibration lie in its spectrum, and how fast to sample to see them."""

from __future__ import annotations

from specapp.kernel.arguments import finite, non_negative, positive, whole
from specapp.kernel.errors import DomainError

__all__ = ["order_frequency_hz", "sampling_rate_needed_hz", "sideband_frequencies_hz"]


def order_frequency_hz(speed_rpm: float, order: float) -> float:
    """Return the frequency of a multiple of the shaft speed, such as the 0.38 X edge of the whirl band.

    Parameters
    ----------
    speed_rpm : float
        Shaft speed [rpm], >= 0.
    order : float
        Multiple of the shaft speed, >= 0, not necessarily whole.

    Returns
    -------
    float
        Frequency [Hz].

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> order_frequency_hz(6000.0, 0.5)
    50.0
    """
    return non_negative("order", order) * non_negative("speed_rpm", speed_rpm, "rpm") / 60


def sideband_frequencies_hz(
    mesh_frequency_hz: float, shaft_frequency_hz: float, pairs: int = 1
) -> tuple[float, ...]:
    """Return the sidebands of a mesh frequency, which tell the shaft that carries the defect.

    Parameters
    ----------
    mesh_frequency_hz : float
        Mesh frequency [Hz], > 0.
    shaft_frequency_hz : float
        Rotation frequency of the modulating shaft [Hz], > 0.
    pairs : int
        Number of pairs, >= 1.

    Returns
    -------
    tuple of float
        Frequencies [Hz] in rising order, the mesh frequency itself left out, none at or below 0.

    Raises
    ------
    DomainError
        If a frequency is not above 0 or `pairs` is not a whole number above 0.

    Notes
    -----
    Source: amplitude modulation of a periodic signal (common practice).

    Examples
    --------
    >>> sideband_frequencies_hz(690.0, 30.0, 2)
    (630.0, 660.0, 720.0, 750.0)
    """
    positive("mesh_frequency_hz", mesh_frequency_hz, "Hz")
    positive("shaft_frequency_hz", shaft_frequency_hz, "Hz")
    count = whole("pairs", pairs)
    steps = [*range(-count, 0), *range(1, count + 1)]
    bands = (mesh_frequency_hz + step * shaft_frequency_hz for step in steps)
    return tuple(band for band in bands if band > 0)


def sampling_rate_needed_hz(
    speed_rpm: float,
    top_frequency_hz: float,
    samples_per_turn: float = 20.0,
    samples_per_cycle: float = 2.56,
) -> float:
    """Return the sampling rate that shows true peaks of a shaft and covers a band.

    Parameters
    ----------
    speed_rpm : float
        Shaft speed [rpm], >= 0.
    top_frequency_hz : float
        Top of the band [Hz], >= 0.
    samples_per_turn : float
        Least samples a turn, >= 0.
    samples_per_cycle : float
        Samples in a cycle of the top frequency, >= 2.

    Returns
    -------
    float
        Sampling rate [Hz], the larger of the two needs.

    Raises
    ------
    DomainError
        If an argument is negative, or fewer than 2 samples a cycle are asked.

    Notes
    -----
    Source: common practice.

    Examples
    --------
    >>> sampling_rate_needed_hz(18_000.0, 4000.0)
    10240.0
    """
    if finite("samples_per_cycle", samples_per_cycle) < 2:
        raise DomainError("samples_per_cycle", samples_per_cycle, "at least 2")
    by_turn = order_frequency_hz(speed_rpm, samples_per_turn)
    return max(by_turn, samples_per_cycle * non_negative("top_frequency_hz", top_frequency_hz, "Hz"))
