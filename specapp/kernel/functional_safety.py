"""Reliability of trip functions in low demand: probability of failure, spurious trips, integrity level.

Voting MooN: M of N channels must ask for the trip. Rates are per hour, times in hours. The approximations
are those of IEC 61508-6:2010, annex B; whether they hold for the numbers given is told by `pfd_validity`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from specapp.kernel.arguments import fraction, non_negative, one_of, positive
from specapp.kernel.errors import DomainError, MissingInput, OutOfRange
from specapp.kernel.integrity_levels import level_by_route_1h, safety_integrity_level

__all__ = [
    "VOTINGS",
    "PfdValidity",
    "beta_for_voting",
    "hardware_fault_tolerance",
    "hours_between_spurious_trips",
    "level_by_route_1h",
    "pfd_avg",
    "pfd_validity",
    "refuse_unless_low_demand",
    "safety_integrity_level",
    "spurious_trip_rate_per_h",
]

VOTINGS: Final = ("1oo1", "1oo2", "2oo2", "2oo3", "1oo3")

_BETA_FACTORS: Final = {"1oo2": 1.0, "2oo3": 1.5, "1oo3": 0.5}


@dataclass(frozen=True, slots=True)
class PfdValidity:
    """Whether the approximation holds; `reason` is empty when it does.

    "doubtful": still a number to show, with the reason; "refused": no number may be shown.
    """

    state: Literal["valid", "doubtful", "refused"]
    reason: str


def _check_voting(voting: str) -> None:
    if voting == "1oo2D":
        raise DomainError(
            "voting",
            voting,
            "one of "
            + ", ".join(VOTINGS)
            + " (1oo2D needs the efficiency of its comparison and its rate of safe "
            "detected failures, and the editions of its formula differ by a factor of two)",
        )
    one_of("voting", voting, VOTINGS)


def refuse_unless_low_demand(demand_mode: str) -> None:
    """Raise unless a function is demanded at most once a year, the mode for which PFD is defined.

    Parameters
    ----------
    demand_mode : str
        "low", "high" or "continuous".

    Returns
    -------
    None
        Nothing.

    Raises
    ------
    OutOfRange
        If the mode is high or continuous: a probability per hour (PFH) is not calculated here, because the
        editions of its formulas differ by a factor of five.
    DomainError
        If the mode is none of those.

    Notes
    -----
    Source: IEC 61508-6, 2000 and 2010 (from memory).

    Examples
    --------
    >>> refuse_unless_low_demand("low")
    """
    one_of("demand_mode", demand_mode, ("low", "high", "continuous"))
    if demand_mode != "low":
        raise OutOfRange("demand_mode", demand_mode, "of low demand (PFH is not calculated here)")


def pfd_avg(
    voting: str,
    *,
    dangerous_undetected_per_h: float,
    dangerous_detected_per_h: float,
    beta: float = 0.0,
    beta_detected: float = 0.0,
    proof_test_interval_h: float,
    repair_time_h: float = 8.0,
    restoration_time_h: float = 8.0,
    proof_test_coverage: float = 1.0,
    full_test_interval_h: float | None = None,
) -> float:
    """Return the average probability that a group of channels fails on demand.

    Parameters
    ----------
    voting : str
        "1oo1", "1oo2", "2oo2", "2oo3" or "1oo3".
    dangerous_undetected_per_h : float
        Rate of dangerous failures of one channel that only a test finds [1/h], >= 0.
    dangerous_detected_per_h : float
        Rate of dangerous failures of one channel that diagnostics find [1/h], >= 0.
    beta : float
        Common-cause share of the undetected failures, 0 to 1; the value for this voting (`beta_for_voting`).
    beta_detected : float
        Common-cause share of the detected failures, 0 to 1.
    proof_test_interval_h : float
        Interval of the proof test [h], > 0.
    repair_time_h : float
        Mean repair time after a test has found a failure (MRT) [h], >= 0.
    restoration_time_h : float
        Mean time to restoration of a detected failure (MTTR) [h], >= 0.
    proof_test_coverage : float
        Share of the undetected failures that the proof test finds, 0 to 1.
    full_test_interval_h : float or None
        Interval of the test or overhaul that finds the rest [h], at least the proof-test interval. Needed
        where the coverage is below 1.

    Returns
    -------
    float
        Average probability of failure on demand. It can exceed 1 where the approximation has left its ground:
        ask `pfd_validity` before showing it.

    Raises
    ------
    DomainError
        If an argument is outside its range or the voting is not one of those (1oo2D is refused by name).
    MissingInput
        If the coverage is below 1 and no full test interval is given.

    Notes
    -----
    2oo2 takes no common cause, as in the annex, which is on the safe side.

    Source: IEC 61508-6:2010, annex B.3.2.2 and B.3.2.5, as published in I. Dolan, SIL Calculations, 61508
    Association workshop, 2024.  Checked: tests/published/test_61508_association_workshop.py,
    tests/published/test_iec_61508_6_annex_b.py.

    Examples
    --------
    >>> round(pfd_avg("1oo1", dangerous_undetected_per_h=1e-6, dangerous_detected_per_h=1.5e-6,
    ...               proof_test_interval_h=8760.0), 7)
    0.0044
    """
    _check_voting(voting)
    undetected = non_negative("dangerous_undetected_per_h", dangerous_undetected_per_h, "1/h")
    detected = non_negative("dangerous_detected_per_h", dangerous_detected_per_h, "1/h")
    interval = positive("proof_test_interval_h", proof_test_interval_h, "h")
    repair = non_negative("repair_time_h", repair_time_h, "h")
    restoration = non_negative("restoration_time_h", restoration_time_h, "h")
    fraction("beta", beta)
    fraction("beta_detected", beta_detected)
    full = _full_interval(interval, proof_test_coverage, full_test_interval_h)
    dangerous = undetected + detected
    if dangerous == 0:
        return 0.0

    def undetected_down_h(share: int) -> float:
        tested = proof_test_coverage * (interval / share + repair)
        return tested + (1 - proof_test_coverage) * (full / share + repair)

    def down_h(share: int) -> float:
        return (undetected * undetected_down_h(share) + detected * restoration) / dangerous

    if voting == "1oo1":
        return dangerous * down_h(2)
    if voting == "2oo2":
        return 2 * dangerous * down_h(2)
    independent = (1 - beta_detected) * detected + (1 - beta) * undetected
    common = beta_detected * detected * restoration + beta * undetected * undetected_down_h(2)
    if voting == "1oo3":
        return 6 * independent**3 * down_h(2) * down_h(3) * down_h(4) + common
    return (2 if voting == "1oo2" else 6) * independent**2 * down_h(2) * down_h(3) + common


def _full_interval(interval_h: float, coverage: float, full_test_interval_h: float | None) -> float:
    fraction("proof_test_coverage", coverage)
    if full_test_interval_h is None:
        if coverage < 1:
            raise MissingInput("full_test_interval_h", None, "a proof test that does not find every failure")
        return interval_h
    if positive("full_test_interval_h", full_test_interval_h, "h") < interval_h:
        raise DomainError(
            "full_test_interval_h",
            full_test_interval_h,
            f"at least the proof-test interval, {interval_h:g} h",
            "h",
        )
    return full_test_interval_h


def pfd_validity(
    pfd_avg: float,
    *,
    dangerous_undetected_per_h: float,
    proof_test_interval_h: float,
    proof_test_coverage: float = 1.0,
    full_test_interval_h: float | None = None,
) -> PfdValidity:
    """Tell whether the rare-event approximation holds for a probability of failure on demand.

    Parameters
    ----------
    pfd_avg : float
        The probability as calculated, >= 0.
    dangerous_undetected_per_h : float
        Rate of dangerous undetected failures of one channel [1/h], >= 0.
    proof_test_interval_h : float
        Interval of the proof test [h], > 0.
    proof_test_coverage : float
        Share of the undetected failures that the proof test finds, 0 to 1.
    full_test_interval_h : float or None
        Interval of the full test [h]; needed where the coverage is below 1.

    Returns
    -------
    PfdValidity
        "refused" at a probability of 1 and above; "doubtful" where the rate times the interval exceeds 0.1
        (the error is 15 percent at 0.438); else "valid".

    Raises
    ------
    DomainError
        If an argument is outside its range.
    MissingInput
        If the coverage is below 1 and no full test interval is given.

    Notes
    -----
    Source: I. Dolan, SIL Calculations, 61508 Association workshop, 2024 (published).
    Checked: tests/published/test_61508_association_workshop.py.

    Examples
    --------
    >>> pfd_validity(0.219, dangerous_undetected_per_h=1e-5, proof_test_interval_h=43_800.0).state
    'doubtful'
    """
    non_negative("pfd_avg", pfd_avg)
    rate = non_negative("dangerous_undetected_per_h", dangerous_undetected_per_h, "1/h")
    interval = positive("proof_test_interval_h", proof_test_interval_h, "h")
    full = _full_interval(interval, proof_test_coverage, full_test_interval_h)
    if pfd_avg >= 1:
        return PfdValidity(
            "refused", f"a probability of {pfd_avg:.3g} cannot be: the formula no longer holds"
        )
    product = rate * (proof_test_coverage * interval + (1 - proof_test_coverage) * full)
    if product > 0.1:
        return PfdValidity(
            "doubtful", f"failure rate times test interval is {product:.3g}; the formula holds below 0.1"
        )
    return PfdValidity("valid", "")


def beta_for_voting(beta_1oo2: float, voting: str) -> float:
    """Return the common-cause share of a voting from that of two channels.

    Parameters
    ----------
    beta_1oo2 : float
        Common-cause share as estimated for 1oo2, 0 to 1.
    voting : str
        "1oo2", "2oo3" or "1oo3".

    Returns
    -------
    float
        The share times 1, 1.5 or 0.5, at most 1.

    Raises
    ------
    DomainError
        If the share is outside 0 to 1 or the voting has no common cause in the table.

    Notes
    -----
    The tables of annex B do not apply this factor; published practice shows both.

    Source: IEC 61508-6:2010, table D.5 (2oo3 published in the 61508 Association workshop of 2024, 1oo3
    from memory).

    Examples
    --------
    >>> round(beta_for_voting(0.1, "2oo3"), 3)
    0.15
    """
    one_of("voting", voting, tuple(_BETA_FACTORS))
    return min(1.0, fraction("beta_1oo2", beta_1oo2) * _BETA_FACTORS[voting])


def spurious_trip_rate_per_h(
    voting: str, *, safe_per_h: float, beta: float = 0.0, restoration_time_h: float = 8.0
) -> float:
    """Return how often a group of channels trips a sound machine.

    Parameters
    ----------
    voting : str
        "1oo1", "1oo2", "2oo2", "2oo3" or "1oo3".
    safe_per_h : float
        Rate of failures of one channel that ask for a trip [1/h], >= 0: the safe ones, and the detected
        dangerous ones where those are voted to trip.
    beta : float
        Common-cause share of those failures, 0 to 1.
    restoration_time_h : float
        Mean time to restoration of a failed channel [h], >= 0.

    Returns
    -------
    float
        Spurious trips [1/h].

    Raises
    ------
    DomainError
        If an argument is outside its range or the voting is not one of those.

    Notes
    -----
    Holds where a failed channel is alarmed and restored long before the next fails.

    Source: ISA-TR84.00.02 (from memory); P. Gruhn and H. Cheddie, Safety Instrumented Systems, 2nd
    edition, 8.9 (published) for the assumptions.  Checked: tests/kernel/test_functional_safety.py.

    Examples
    --------
    >>> spurious_trip_rate_per_h("1oo2", safe_per_h=1e-6)
    2e-06
    """
    _check_voting(voting)
    non_negative("safe_per_h", safe_per_h, "1/h")
    restoration = non_negative("restoration_time_h", restoration_time_h, "h")
    independent = (1 - fraction("beta", beta)) * safe_per_h
    common = beta * safe_per_h
    if voting == "1oo1":
        return float(safe_per_h)
    if voting == "1oo2":
        return 2 * independent + common
    if voting == "1oo3":
        return 3 * independent + common
    return (2 if voting == "2oo2" else 6) * independent**2 * restoration + common


def hours_between_spurious_trips(rate_per_h: float) -> float:
    """Return the mean time between spurious trips.

    Parameters
    ----------
    rate_per_h : float
        Spurious trips [1/h], > 0.

    Returns
    -------
    float
        Mean time [h].

    Raises
    ------
    DomainError
        If the rate is not above 0.

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> round(hours_between_spurious_trips(1e-6) / 8760, 1)
    114.2
    """
    return 1 / positive("rate_per_h", rate_per_h, "1/h")


def hardware_fault_tolerance(voting: str) -> int:
    """Return how many channels may fail dangerously without the function being lost.

    Parameters
    ----------
    voting : str
        "1oo1", "1oo2", "2oo2", "2oo3" or "1oo3".

    Returns
    -------
    int
        N - M; 0 for 2oo2.

    Raises
    ------
    DomainError
        If the voting is not one of those.

    Notes
    -----
    Source: IEC 61508-2 (from memory).

    Examples
    --------
    >>> [hardware_fault_tolerance(voting) for voting in VOTINGS]
    [0, 1, 0, 1, 2]
    """
    _check_voting(voting)
    return int(voting[3]) - int(voting[0])
