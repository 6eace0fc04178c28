"""What the bench must answer where a formula answers too."""

from __future__ import annotations

from math import cos, exp, log, pi, sqrt

from specapp.kernel.arguments import non_negative, positive, whole
from specapp.kernel.errors import DomainError

__all__ = [
    "aliased_frequency_hz",
    "beat_frequency_hz",
    "largest_missed_peak",
    "samples_for_missed_peak",
    "sinusoid_rms",
    "step_response",
    "time_to_level_s",
]


def largest_missed_peak(samples_per_turn: float) -> float:
    """Return the largest share of a once-per-turn peak that lies unseen between two samples.

    Parameters
    ----------
    samples_per_turn : float
        Samples a turn, at least 2.

    Returns
    -------
    float
        1 - cos(pi/n): both neighbours lie half a step from the peak.

    Notes
    -----
    Source: geometry of the sinusoid (common practice).
    """
    if positive("samples_per_turn", samples_per_turn) < 2:
        raise DomainError("samples_per_turn", samples_per_turn, "at least 2")
    return 1 - cos(pi / samples_per_turn)


def samples_for_missed_peak(share: float) -> int:
    """Return the fewest samples a turn that miss no more than a share of the peak (above 0, below 1)."""
    if not 0 < share < 1:
        raise DomainError("share", share, "above 0 and below 1")
    count = 2
    while largest_missed_peak(count) > share:
        count += 1
    return whole("samples", count)


def step_response(seconds: float, corner_hz: float) -> float:
    """Return what a single pole shows of a step after a time: 1 - exp(-2*pi*f*t)."""
    return 1 - exp(-2 * pi * positive("corner_hz", corner_hz, "Hz") * non_negative("seconds", seconds, "s"))


def time_to_level_s(share: float, corner_hz: float) -> float:
    """Return when a single pole has come to a share of a step (0 to below 1) [s]."""
    if not 0 <= share < 1:
        raise DomainError("share", share, "from 0 to below 1")
    return -log(1 - share) / (2 * pi * positive("corner_hz", corner_hz, "Hz"))


def beat_frequency_hz(first_hz: float, second_hz: float) -> float:
    """Return the frequency at which two oscillators beat: the distance of their frequencies [Hz]."""
    return abs(positive("first_hz", first_hz, "Hz") - positive("second_hz", second_hz, "Hz"))


def aliased_frequency_hz(frequency_hz: float, rate_hz: float) -> float:
    """Return where a frequency shows in samples taken at a rate, from 0 to half the rate [Hz]."""
    rest = non_negative("frequency_hz", frequency_hz, "Hz") % positive("rate_hz", rate_hz, "Hz")
    return min(rest, rate_hz - rest)


def sinusoid_rms(peak_to_peak: float) -> float:
    """Return the r.m.s. value of a sinusoid of a peak-to-peak value, in its unit."""
    return non_negative("peak_to_peak", peak_to_peak) / (2 * sqrt(2))
