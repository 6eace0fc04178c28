"""Safety integrity levels: the band of a probability, and what an architecture may claim."""

from __future__ import annotations

from typing import Final

from specapp.kernel.arguments import fraction, non_negative, one_of, positive, whole

__all__ = [
    "is_below_level_4_band",
    "level_by_route_1h",
    "minimum_hardware_fault_tolerance",
    "safe_failure_fraction",
    "safety_integrity_level",
]

_SNAP: Final = 1e-9
_ROUTE_1H: Final = {
    "A": ((1, 2, 3), (2, 3, 4), (3, 4, 4), (3, 4, 4)),
    "B": ((0, 1, 2), (1, 2, 3), (2, 3, 4), (3, 4, 4)),
}


def safety_integrity_level(pfd_avg: float) -> int:
    """Return the safety integrity level whose band a probability of failure on demand falls into.

    Parameters
    ----------
    pfd_avg : float
        Average probability of failure on demand, >= 0.

    Returns
    -------
    int
        0 (none) to 4. A decade itself belongs to the lower level, also where the arithmetic misses it by a
        part in 1e9. Below 1e-5 the level stays 4: no more can be claimed (`is_below_level_4_band`).

    Raises
    ------
    DomainError
        If the probability is negative or not a finite number.

    Notes
    -----
    The band is not the target: 5e-3 is level 2 and still misses a target of 3.3e-3.

    Source: IEC 61508-1, table 2, as published in the 61508 Association workshop of 2024.
    Checked: tests/published/test_61508_association_workshop.py.

    Examples
    --------
    >>> [safety_integrity_level(pfd) for pfd in (0.1, 0.01, 0.0099999, 1e-5, 9.9e-6)]
    [0, 1, 2, 4, 4]
    """
    non_negative("pfd_avg", pfd_avg)
    level = 0
    for limit in (1e-1, 1e-2, 1e-3, 1e-4):
        if pfd_avg >= limit * (1 - _SNAP):
            break
        level += 1
    return level


def is_below_level_4_band(pfd_avg: float) -> bool:
    """Tell whether a probability is lower than any that may be claimed for one function.

    Parameters
    ----------
    pfd_avg : float
        Average probability of failure on demand, >= 0.

    Returns
    -------
    bool
        True below 1e-5.

    Raises
    ------
    DomainError
        If the probability is negative or not a finite number.

    Notes
    -----
    Source: IEC 61508-1, table 2, as published in the 61508 Association workshop of 2024.

    Examples
    --------
    >>> is_below_level_4_band(1e-5), is_below_level_4_band(9.9e-6)
    (False, True)
    """
    return non_negative("pfd_avg", pfd_avg) < 1e-5 * (1 - _SNAP)


def safe_failure_fraction(safe_per_h: float, detected_per_h: float, undetected_per_h: float) -> float:
    """Return the share of the failures of a channel that are safe or detected.

    Parameters
    ----------
    safe_per_h : float
        Rate of safe failures [1/h], >= 0; failures without effect do not count.
    detected_per_h : float
        Rate of dangerous detected failures [1/h], >= 0.
    undetected_per_h : float
        Rate of dangerous undetected failures [1/h], >= 0.

    Returns
    -------
    float
        Safe failure fraction, 0 to 1.

    Raises
    ------
    DomainError
        If a rate is negative or all are 0.

    Notes
    -----
    Source: IEC 61508-2:2010, annex C (from memory).

    Examples
    --------
    >>> safe_failure_fraction(5e-7, 4e-7, 1e-7)
    0.9
    """
    harmless = non_negative("safe_per_h", safe_per_h, "1/h") + non_negative(
        "detected_per_h", detected_per_h, "1/h"
    )
    total = harmless + non_negative("undetected_per_h", undetected_per_h, "1/h")
    return harmless / positive("sum of the failure rates", total, "1/h")


def level_by_route_1h(
    component_type: str, safe_failure_fraction: float, hardware_fault_tolerance: int
) -> int:
    """Return the highest level that the architecture may claim by safe failure fraction.

    Parameters
    ----------
    component_type : str
        "A" (failure modes known, behaviour under fault determinable, dependable field data) or "B".
    safe_failure_fraction : float
        Safe failure fraction, 0 to 1; a band begins at 0.6, 0.9 and 0.99.
    hardware_fault_tolerance : int
        Faults tolerated, >= 0; more than 2 count as 2.

    Returns
    -------
    int
        0 (not allowed) to 4.

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Source: IEC 61508-2:2010, 7.4.4.2, tables 2 and 3 (published in secondary copies).
    Checked: tests/published/test_iec_61508_2_route_1h.py.

    Examples
    --------
    >>> level_by_route_1h("B", 0.92, 0), level_by_route_1h("B", 0.59, 0), level_by_route_1h("A", 0.59, 0)
    (2, 0, 1)
    """
    one_of("component_type", component_type, ("A", "B"))
    sff = fraction("safe_failure_fraction", safe_failure_fraction)
    tolerated = min(2, whole("hardware_fault_tolerance", hardware_fault_tolerance, at_least=0))
    band = sum(sff >= limit * (1 - _SNAP) for limit in (0.60, 0.90, 0.99))
    return _ROUTE_1H[component_type][band][tolerated]


def minimum_hardware_fault_tolerance(level: int, demand_mode: str = "low") -> int:
    """Return the least hardware fault tolerance that a level asks in the process sector.

    Parameters
    ----------
    level : int
        Safety integrity level, 1 to 4.
    demand_mode : str
        "low", "high" or "continuous".

    Returns
    -------
    int
        Faults that must be tolerated.

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    A lower tolerance is allowed only under side conditions that need a written justification.

    Source: IEC 61511-1:2016, table 6 (published in secondary copies).
    Checked: tests/published/test_iec_61511_fault_tolerance.py.

    Examples
    --------
    >>> [minimum_hardware_fault_tolerance(level) for level in (1, 2, 3, 4)]
    [0, 0, 1, 2]
    """
    one_of("level", level, (1, 2, 3, 4))
    one_of("demand_mode", demand_mode, ("low", "high", "continuous"))
    if level == 2:
        return 0 if demand_mode == "low" else 1
    return {1: 0, 3: 1, 4: 2}[int(level)]
