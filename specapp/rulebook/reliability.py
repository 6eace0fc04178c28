"""Reliability of one trip function: stages in series, each a vote of legs of devices in series.

Pure calculation over the kernel's formulas (IEC 61508-6:2010, annex B, low demand). The rules work with it
while a proposal is made; pages and documents ask it on demand for what takes longer (the comparison of
votes, the longest proof-test interval).

A leg's rates are the sums of its devices' rates; its common-cause shares and repair times are their means
weighted by the rates, which leaves every product of the formulas the sum over the devices.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from msgspec.structs import replace

from specapp.catalogue.failure_data import FailureData
from specapp.domain.proposal import Record
from specapp.kernel.errors import DomainError
from specapp.kernel.functional_safety import (
    PfdValidity,
    beta_for_voting,
    pfd_avg,
    pfd_validity,
    spurious_trip_rate_per_h,
)
from specapp.kernel.integrity_levels import (
    is_below_level_4_band,
    level_by_route_1h,
    minimum_hardware_fault_tolerance,
    safe_failure_fraction,
    safety_integrity_level,
)
from specapp.rulebook.truth_tables import WITH_ALARM, legs_of

STANDARD: Final = "IEC 61508-6:2010, annex B, low demand"
HOURS_PER_YEAR: Final = 8760.0
HIGHEST_LEVEL: Final = 4
RADIAL_VOTES: Final = ("1oo1", "1oo2", "2oo2", WITH_ALARM, "2oo3")
_WITH_COMMON_CAUSE: Final = frozenset({"1oo2", "2oo3", "1oo3"})


class Tests(Record, frozen=True):
    """How the function is tested and mended; times in hours.

    ``full_interval_h`` is that of the test or overhaul that finds what the proof test leaves, needed where
    the coverage is below 1. ``beta_by_vote`` multiplies the common-cause share by the factor of table D.5.
    """

    interval_h: float
    coverage: float
    full_interval_h: float | None
    repair_h: float
    restoration_h: float
    beta_by_vote: bool


class Stage(Record, frozen=True):
    """A vote of ``legs`` legs, each of the same ``elements`` in series; 1oo1 for what has no vote.

    ``voting`` is what is built, ``credited`` what the calculation counts: legs that measure different
    things are no redundancy, so a 1oo2 of them counts as one leg. ``faults_trip``: detected faults of
    enough legs trip, so they add to the spurious trips.
    """

    name: str
    voting: str
    credited: str
    elements: tuple[FailureData, ...]
    faults_trip: bool = False

    @property
    def legs(self) -> int:
        return legs_of(self.voting)[1]

    @property
    def fault_tolerance(self) -> int:
        """Dangerous faults tolerated, by what is credited."""
        must, legs = legs_of(self.credited)
        return legs - must


@dataclass(frozen=True, slots=True)
class Rates:
    """The rates of one leg [1/h], its common-cause shares and its repair times [h]."""

    dangerous_undetected_per_h: float
    dangerous_detected_per_h: float
    safe_per_h: float
    beta: float
    beta_detected: float
    repair_h: float
    restoration_h: float


@dataclass(frozen=True, slots=True)
class StageResult:
    """``pfd`` may pass 1 where the formula no longer holds: ask ``validity`` before showing it.

    ``element_shares`` part the stage's probability among its devices, by what each would have alone.
    """

    stage: Stage
    rates: Rates
    pfd: float
    spurious_per_year: float
    validity: PfdValidity
    element_shares: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class FunctionResult:
    """A whole function: the sum over its stages."""

    stages: tuple[StageResult, ...]
    pfd: float
    spurious_per_year: float
    validity: PfdValidity


def _weighted(pairs: Sequence[tuple[float, float]], otherwise: float) -> float:
    total = sum(weight for weight, _ in pairs)
    return sum(weight * value for weight, value in pairs) / total if total else otherwise


def leg_rates(elements: Sequence[FailureData], tests: Tests) -> Rates:
    """Return the rates of devices in series."""
    undetected = [each.dangerous_undetected_per_h for each in elements]
    detected = [each.dangerous_detected_per_h for each in elements]
    repair = [tests.repair_h if each.repair_time_h is None else each.repair_time_h for each in elements]
    restoration = [
        tests.restoration_h if each.restoration_time_h is None else each.restoration_time_h
        for each in elements
    ]
    betas = [each.beta or 0.0 for each in elements]
    betas_detected = [each.beta_detected or 0.0 for each in elements]
    return Rates(
        sum(undetected),
        sum(detected),
        sum(each.safe_per_h for each in elements),
        _weighted(list(zip(undetected, betas, strict=True)), max(betas)),
        _weighted(list(zip(detected, betas_detected, strict=True)), max(betas_detected)),
        _weighted(list(zip(undetected, repair, strict=True)), max(repair)),
        _weighted(list(zip(detected, restoration, strict=True)), max(restoration)),
    )


def vote_pfd(voting: str, rates: Rates, tests: Tests) -> float:
    """Return the probability of a vote of such legs.

    Trip with the other leg's alarm counts as 2oo2: a leg that has failed dangerously shows no alarm either.
    """
    counted = "2oo2" if voting == WITH_ALARM else voting
    beta, beta_detected = rates.beta, rates.beta_detected
    if tests.beta_by_vote and counted in _WITH_COMMON_CAUSE:
        beta, beta_detected = beta_for_voting(beta, counted), beta_for_voting(beta_detected, counted)
    return pfd_avg(
        counted,
        dangerous_undetected_per_h=rates.dangerous_undetected_per_h,
        dangerous_detected_per_h=rates.dangerous_detected_per_h,
        beta=beta,
        beta_detected=beta_detected,
        proof_test_interval_h=tests.interval_h,
        repair_time_h=rates.repair_h,
        restoration_time_h=rates.restoration_h,
        proof_test_coverage=tests.coverage,
        full_test_interval_h=tests.full_interval_h,
    )


def vote_spurious_per_year(voting: str, rates: Rates, *, faults_trip: bool) -> float:
    """Return the spurious trips of a vote of such legs a year.

    Safe failures ask for a trip; detected dangerous ones do only where faults trip, otherwise the leg leaves
    the vote. More than three legs of which any one trips: each adds its own, common cause left out, which
    is on the high side.
    """
    asking = rates.safe_per_h + (rates.dangerous_detected_per_h if faults_trip else 0.0)
    counted = "2oo2" if voting == WITH_ALARM else voting
    must, legs = legs_of(counted)
    if must == 1 and legs > 3:
        return legs * asking * HOURS_PER_YEAR
    per_h = spurious_trip_rate_per_h(
        counted, safe_per_h=asking, beta=rates.beta, restoration_time_h=rates.restoration_h
    )
    return per_h * HOURS_PER_YEAR


@lru_cache(maxsize=4096)
def stage_result(stage: Stage, tests: Tests) -> StageResult:
    """Return what one stage adds to a function. Stages and tests repeat from group to group and are kept."""
    rates = leg_rates(stage.elements, tests)
    pfd = vote_pfd(stage.credited, rates, tests)
    validity = pfd_validity(
        pfd,
        dangerous_undetected_per_h=rates.dangerous_undetected_per_h,
        proof_test_interval_h=tests.interval_h,
        proof_test_coverage=tests.coverage,
        full_test_interval_h=tests.full_interval_h,
    )
    spurious = vote_spurious_per_year(stage.voting, rates, faults_trip=stage.faults_trip)
    alone = [vote_pfd("1oo1", leg_rates((each,), tests), tests) for each in stage.elements]
    total = sum(alone)
    shares = tuple(value / total if total else 1 / len(alone) for value in alone)
    return StageResult(stage, rates, pfd, spurious, validity, shares)


def function_result(stages: Sequence[Stage], tests: Tests) -> FunctionResult:
    """Return a function of stages in series: probabilities and spurious trips add up."""
    results = tuple(stage_result(stage, tests) for stage in stages)
    pfd = sum(result.pfd for result in results)
    validity = PfdValidity("valid", "")
    for result in results:
        if result.validity.state == "refused":
            validity = result.validity
            break
        if result.validity.state == "doubtful" and validity.state == "valid":
            validity = PfdValidity("doubtful", f"{result.stage.name}: {result.validity.reason}")
    if pfd >= 1 and validity.state != "refused":
        validity = PfdValidity(
            "refused", f"a probability of {pfd:.3g} cannot be: the formula no longer holds"
        )
    return FunctionResult(results, pfd, sum(result.spurious_per_year for result in results), validity)


# Levels


@dataclass(frozen=True, slots=True)
class Levels:
    """Levels by probability, by route 1H and by fault tolerance, and what limits each; 0 is none.

    ``claimed`` is the lowest of them, 0 too where the trip acts in a basic control system.
    """

    by_pfd: int
    below_level_4_band: bool
    by_route_1h: int
    route_1h_limited_by: str
    by_fault_tolerance: int
    fault_tolerance_limited_by: str
    control_system_limits: bool
    claimed: int


def levels(result: FunctionResult, *, control_system_risk_reduction: float) -> Levels:
    """Return what a function may claim on failure data that stand; never ask it of placeholders."""
    by_pfd = safety_integrity_level(result.pfd)
    by_route, route_part = HIGHEST_LEVEL, ""
    by_tolerance, tolerance_part = HIGHEST_LEVEL, ""
    control_system = False
    for each in result.stages:
        stage = each.stage
        allowed = _level_by_tolerance(stage.fault_tolerance)
        if allowed < by_tolerance:
            by_tolerance, tolerance_part = allowed, stage.name
        for element in stage.elements:
            level = level_by_route_1h(element.component_type, fraction_safe(element), stage.fault_tolerance)
            if level < by_route:
                by_route, route_part = level, element.device
            control_system = control_system or element.device == "control_system"
    claimed = min(by_pfd, by_route, by_tolerance)
    limited = control_system and safety_integrity_level(1 / control_system_risk_reduction) < claimed
    if control_system:
        claimed = min(claimed, safety_integrity_level(1 / control_system_risk_reduction))
    return Levels(
        by_pfd,
        is_below_level_4_band(result.pfd),
        by_route,
        route_part,
        by_tolerance,
        tolerance_part,
        limited,
        claimed,
    )


def fraction_safe(element: FailureData) -> float:
    """Return the safe failure fraction of one device."""
    return safe_failure_fraction(
        element.safe_per_h, element.dangerous_detected_per_h, element.dangerous_undetected_per_h
    )


def _level_by_tolerance(tolerance: int) -> int:
    return max(
        level for level in range(1, HIGHEST_LEVEL + 1) if minimum_hardware_fault_tolerance(level) <= tolerance
    )


# On demand: votes compared, the longest proof-test interval


@dataclass(frozen=True, slots=True)
class VoteLine:
    """One vote of the same legs. ``pfd`` counts them as copies, ``pfd_of_components`` as what they are.

    ``function_pfd`` and ``function_spurious_per_year`` are those of the whole function with this vote,
    the legs counted as ``pfd_of_components`` counts them.
    """

    voting: str
    pfd: float
    pfd_of_components: float
    spurious_per_year: float
    function_pfd: float
    function_spurious_per_year: float


def credited_vote(voting: str, *, copies: bool) -> str:
    """Return the vote that is counted: of legs that are no copies of each other, 1ooN is one leg.

    A demand may show in one leg only. 2oo3 of legs that are no copies needs the two that show it.
    """
    if copies:
        return voting
    must, legs = legs_of("2oo2" if voting == WITH_ALARM else voting)
    if must == 1 or legs == 1:
        return "1oo1"
    return "2oo2"


def compare_votes(
    stages: Sequence[Stage], tests: Tests, *, copies: bool, votes: Sequence[str] = RADIAL_VOTES
) -> tuple[VoteLine, ...]:
    """Return missed against spurious trips of each vote of the first stage, the others as they are."""
    voted, *others = stages
    rates = leg_rates(voted.elements, tests)
    rest = [stage_result(stage, tests) for stage in others]
    rest_pfd = sum(each.pfd for each in rest)
    rest_spurious = sum(each.spurious_per_year for each in rest)
    lines = []
    for voting in votes:
        pfd = vote_pfd(voting, rates, tests)
        counted = vote_pfd(credited_vote(voting, copies=copies), rates, tests)
        spurious = vote_spurious_per_year(voting, rates, faults_trip=voted.faults_trip)
        lines.append(VoteLine(voting, pfd, counted, spurious, counted + rest_pfd, spurious + rest_spurious))
    return tuple(lines)


SHORTEST_INTERVAL_H: Final = 1.0
LONGEST_INTERVAL_H: Final = 438_000.0
INTERVAL_ERROR_H: Final = 1.0


@dataclass(frozen=True, slots=True)
class IntervalSearch:
    """The longest proof-test interval that keeps a function under a probability.

    ``interval_h`` None: not even the shortest of ``searched_h`` does. It lies at most ``error_h`` below the
    true one. ``capped``: the longest of the range still does.
    """

    limit_pfd: float
    interval_h: float | None
    capped: bool
    error_h: float
    steps: int
    searched_h: tuple[float, float]


def longest_proof_test_interval(stages: Sequence[Stage], tests: Tests, *, limit_pfd: float) -> IntervalSearch:
    """Return the longest interval by halving a bracket: the probability only grows with the interval.

    Raises DomainError for a limit outside 0 to 1.
    """
    if not 0 < limit_pfd < 1:
        raise DomainError("limit_pfd", limit_pfd, "above 0 and below 1")
    low, high = SHORTEST_INTERVAL_H, LONGEST_INTERVAL_H
    if tests.coverage < 1 and tests.full_interval_h is not None:
        high = min(high, tests.full_interval_h)  # a proof test rarer than the full test would be no test

    def pfd(interval_h: float) -> float:
        trial = replace(tests, interval_h=interval_h)
        return sum(vote_pfd(stage.credited, leg_rates(stage.elements, trial), trial) for stage in stages)

    searched = (low, high)
    if pfd(low) >= limit_pfd:
        return IntervalSearch(limit_pfd, None, False, INTERVAL_ERROR_H, 1, searched)
    if pfd(high) < limit_pfd:
        return IntervalSearch(limit_pfd, high, True, 0.0, 2, searched)
    steps = 2
    while high - low > INTERVAL_ERROR_H:
        middle = (low + high) / 2
        low, high = (middle, high) if pfd(middle) < limit_pfd else (low, middle)
        steps += 1
    return IntervalSearch(limit_pfd, low, False, high - low, steps, searched)


def limit_of_level(level: int) -> float:
    """Return the probability a function must stay below for a level: 0.1 for 1 to 1e-4 for 4."""
    return float(10.0**-level)
