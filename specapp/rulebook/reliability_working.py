"""The calculation of a stored function, line by line with its numbers, and what is asked of it on demand.

Everything starts from the function as a proposal carries it, so a stored proposal prints the same working
after the rulebook has moved on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from specapp.catalogue.failure_data import FailureData
from specapp.kernel.functional_safety import beta_for_voting
from specapp.rulebook.reliability import (
    HOURS_PER_YEAR,
    IntervalSearch,
    Rates,
    Stage,
    Tests,
    leg_rates,
    longest_proof_test_interval,
    vote_pfd,
    vote_spurious_per_year,
)
from specapp.rulebook.truth_tables import WITH_ALARM, legs_of

_COUNTED_ONE_BY_ONE: Final = 3  # legs; of more, each adds its own spurious trips


def tests_of(function: Mapping[str, Any]) -> Tests:
    """Return how a stored function is tested and mended."""
    return Tests(
        function["proof_test_interval_h"],
        function["proof_test_coverage"],
        function["full_test_interval_h"],
        function["repair_time_h"],
        function["restoration_time_h"],
        function["beta_by_vote"],
    )


def stages_of(function: Mapping[str, Any]) -> tuple[Stage, ...]:
    """Return the stages of a stored function; none where it was not calculated."""
    parts: Sequence[Mapping[str, Any]] = function["parts"]
    stages = []
    place = 0
    for stage in function["stages"]:
        elements = tuple(_element(part) for part in parts[place : place + stage["parts"]])
        place += stage["parts"]
        named = (stage["stage"], stage["voting"], stage["credited_voting"])
        stages.append(Stage(*named, elements, stage["faults_trip"]))
    return tuple(stages)


def _element(part: Mapping[str, Any]) -> FailureData:
    return FailureData(
        part["device"],
        part["component_type"],
        part["dangerous_undetected_per_h"],
        part["dangerous_detected_per_h"],
        part["safe_detected_per_h"],
        part["safe_undetected_per_h"],
        part["beta"],
        part["beta_detected"],
        part["repair_time_h"],
        part["restoration_time_h"],
        part["source"],
        part["status"],
    )


def interval_for_target(function: Mapping[str, Any]) -> IntervalSearch | None:
    """Return the longest proof-test interval for the target; None without target or calculation."""
    limit = function["limit_pfd"]
    if limit is None or not function["stages"]:
        return None
    return _interval(stages_of(function), tests_of(function), limit)


@lru_cache(maxsize=256)
def _interval(stages: tuple[Stage, ...], tests: Tests, limit: float) -> IntervalSearch:
    return longest_proof_test_interval(stages, tests, limit_pfd=limit)


@dataclass(frozen=True, slots=True)
class Working:
    """The lines of one stage: ``pfd`` and ``spurious_per_year`` are what the last line of each comes to."""

    stage: str
    lines: tuple[str, ...]
    pfd: float
    spurious_lines: tuple[str, ...]
    spurious_per_year: float


def working(stage: Stage, tests: Tests) -> Working:
    """Return the formulas of a stage with its numbers filled in."""
    rates = leg_rates(stage.elements, tests)
    pfd = vote_pfd(stage.credited, rates, tests)
    lines = (_rates_line(rates), *_pfd_lines(stage, rates, tests, pfd))
    spurious = vote_spurious_per_year(stage.voting, rates, faults_trip=stage.faults_trip)
    return Working(stage.name, lines, pfd, _spurious_lines(stage, rates, spurious), spurious)


def _e(value: float) -> str:
    return f"{value:.3E}"


def _rates_line(rates: Rates) -> str:
    return (
        f"λDU = {_e(rates.dangerous_undetected_per_h)}/h, λDD = {_e(rates.dangerous_detected_per_h)}/h, "
        f"λS = {_e(rates.safe_per_h)}/h, MRT = {rates.repair_h:g} h, MTTR = {rates.restoration_h:g} h"
    )


def _undetected_down(tests: Tests, rates: Rates, share: int) -> tuple[str, str, float]:
    """Return the mean time an undetected failure stays: as symbols, with numbers, and its value [h]."""
    repair = rates.repair_h
    own = tests.interval_h / share + repair
    if tests.coverage == 1 or tests.full_interval_h is None:
        return f"(T1/{share} + MRT)", f"({tests.interval_h:g}/{share} + {repair:g})", own
    rest = tests.full_interval_h / share + repair
    symbols = f"[PTC·(T1/{share} + MRT) + (1 − PTC)·(T2/{share} + MRT)]"
    numbers = (
        f"[{tests.coverage:g}·({tests.interval_h:g}/{share} + {repair:g}) + "
        f"{1 - tests.coverage:.6g}·({tests.full_interval_h:g}/{share} + {repair:g})]"
    )
    return symbols, numbers, tests.coverage * own + (1 - tests.coverage) * rest


def _pfd_lines(stage: Stage, rates: Rates, tests: Tests, pfd: float) -> tuple[str, ...]:
    counted = "2oo2" if stage.credited == WITH_ALARM else stage.credited
    undetected, detected = rates.dangerous_undetected_per_h, rates.dangerous_detected_per_h
    dangerous = undetected + detected
    symbols, numbers, _ = _undetected_down(tests, rates, 2)
    if counted in ("1oo1", "2oo2") or dangerous == 0:
        opened, closed = ("", "") if counted == "1oo1" else ("2·{", "}")
        line = (
            f"{counted}: PFD = {opened}λDU·{symbols} + λDD·MTTR{closed} = "
            f"{opened}{_e(undetected)}·{numbers} + {_e(detected)}·{rates.restoration_h:g}{closed} = {_e(pfd)}"
        )
        return (line,)
    beta, beta_detected = rates.beta, rates.beta_detected
    lines = []
    if tests.beta_by_vote:
        beta, beta_detected = beta_for_voting(beta, counted), beta_for_voting(beta_detected, counted)
        lines.append(f"β = {beta:.4g}, βD = {beta_detected:.4g}, with the factor of the vote (table D.5)")
    else:
        lines.append(f"β = {beta:.4g}, βD = {beta_detected:.4g}, as told for two channels")
    downs = []
    for name, share in (("tCE", 2), ("tGE", 3), ("tG2E", 4)):
        if share == 4 and counted != "1oo3":
            continue
        text, filled, hours = _undetected_down(tests, rates, share)
        down = (undetected * hours + detected * rates.restoration_h) / dangerous
        downs.append(down)
        lines.append(
            f"{name} = (λDU/λD)·{text} + (λDD/λD)·MTTR = ({_e(undetected)}/{_e(dangerous)})·{filled} + "
            f"({_e(detected)}/{_e(dangerous)})·{rates.restoration_h:g} = {down:.1f} h"
        )
    independent = (1 - beta_detected) * detected + (1 - beta) * undetected
    lines.append(
        f"X = (1 − βD)·λDD + (1 − β)·λDU = {1 - beta_detected:.4g}·{_e(detected)} + "
        f"{1 - beta:.4g}·{_e(undetected)} = {_e(independent)}/h"
    )
    _, _, hours = _undetected_down(tests, rates, 2)
    common = beta_detected * detected * rates.restoration_h + beta * undetected * hours
    lines.append(
        f"CCF = βD·λDD·MTTR + β·λDU·{symbols} = {beta_detected:.4g}·{_e(detected)}·{rates.restoration_h:g} + "
        f"{beta:.4g}·{_e(undetected)}·{numbers} = {_e(common)}"
    )
    power, last = ("³", "·tG2E") if counted == "1oo3" else ("²", "")
    factor = "2" if counted == "1oo2" else "6"
    filled = "·".join(f"{down:.1f}" for down in downs)
    lines.append(
        f"{counted}: PFD = {factor}·X{power}·tCE·tGE{last} + CCF = "
        f"{factor}·({_e(independent)}){power}·{filled} + {_e(common)} = {_e(pfd)}"
    )
    return tuple(lines)


def _spurious_lines(stage: Stage, rates: Rates, per_year: float) -> tuple[str, ...]:
    counted = "2oo2" if stage.voting == WITH_ALARM else stage.voting
    must, legs = legs_of(counted)
    asking = rates.safe_per_h + (rates.dangerous_detected_per_h if stage.faults_trip else 0.0)
    what = "λS + λDD (faults trip)" if stage.faults_trip else "λS (a faulted leg leaves the vote)"
    head = f"λsp = {what if legs > 1 else 'λS'} = {_e(asking)}/h"
    year = f"{HOURS_PER_YEAR:g} h"
    if legs == 1:
        return (f"{counted}: λsp·{year} = {per_year:.3g} a year, {head}",)
    if must == 1 and legs > _COUNTED_ONE_BY_ONE:
        return (head, f"{counted}: {legs}·λsp·{year} = {per_year:.3g} a year, common cause left out")
    beta = rates.beta
    if must == 1:
        formula = f"[{legs}·(1 − β)·λsp + β·λsp]"
    else:
        factor = 2 if counted == "2oo2" else 6
        formula = f"[{factor}·((1 − β)·λsp)²·MTTR + β·λsp]"
    return (head, f"{counted}: {formula}·{year} = {per_year:.3g} a year, β = {beta:.4g}")
