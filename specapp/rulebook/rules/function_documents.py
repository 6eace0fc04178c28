"""A protective function as it stands in a proposal: numbers, claim or why none, parts, votes, findings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from functools import lru_cache
from typing import Any, Final

from specapp.catalogue.failure_data import PLACEHOLDER, TOLD, FailureData
from specapp.domain.proposal import Record
from specapp.kernel.errors import DomainError
from specapp.rulebook.reliability import (
    STANDARD,
    FunctionResult,
    Stage,
    StageResult,
    Tests,
    compare_votes,
    fraction_safe,
    function_result,
    levels,
    limit_of_level,
)
from specapp.rulebook.rules.trip_functions import TripFunction
from specapp.rulebook.safety_data import DEVICE_TITLES
from specapp.rulebook.truth_tables import legs_of, table_document

_PERCENT: Final = 100.0
_KEPT: Final = 256  # calculations kept from one proposal to the next
_NOT_CALCULATED: Final[dict[str, Any]] = {
    "pfd_avg": None,
    "spurious_trips_per_year": None,
    "validity": None,
    "basis": PLACEHOLDER,
    "placeholders": (),
    "level_claimed": None,
    "levels": None,
    "limit_pfd": None,
    "meets_target": None,
    "governs": "",
    "stages": (),
    "parts": (),
    "voting_comparison": (),
}


class Basis(Record, frozen=True):
    """What all functions of a machine are judged by.

    ``untold`` are reasons, besides placeholder data, for which no level may be claimed. ``decided`` is the
    vote of radial pairs as the purchaser decided it, None while it is open, and ``decided_because`` why.
    """

    tests: Tests
    untold: tuple[str, ...]
    target: int | None
    control_system_risk_reduction: float
    decided: str | None
    decided_because: str = ""


def reliability(function: TripFunction, basis: Basis) -> Mapping[str, Any]:
    """Return what depends on the devices, the vote and the basis only; the same object again for the same."""
    lacking = legs_lacking(function.voting, len(function.points))
    if lacking:
        return _reliability(function.voting, (), "", None, function.is_radial_pair, basis, lacking)
    return _reliability(
        function.voting,
        function.stages,
        function.not_copies_because,
        function.faults_trip_at,
        function.is_radial_pair,
        basis,
    )


def legs_lacking(voting: str, points: int) -> str:
    """Return why a vote cannot be built of so many points; empty where it can, or is no vote."""
    try:
        _, legs = legs_of(voting)
    except ValueError:
        return ""
    return f"{voting.replace('_', ' ')} needs {legs} sensors, the group has {points}" if legs > points else ""


def function_document(function: TripFunction, calculated: Mapping[str, Any], reason: int) -> dict[str, Any]:
    """Return a function as the proposal carries it; `calculated` by `reliability`, `reason` in the trace."""
    first = function.points[0]
    return {
        "key": function.key,
        "title": function.title,
        "quantity": first.quantity,
        "points": list(function.cause.keys),
        "acts_in": function.cause.acts_in,
        **calculated,
        "findings": _findings(function),
        "trace": [reason],
    }


@lru_cache(maxsize=_KEPT)
def _reliability(
    voting: str,
    stages: tuple[Stage, ...],
    not_copies_because: str,
    faults_trip_at: int | None,
    is_radial_pair: bool,
    basis: Basis,
    lacking: str = "",
) -> Mapping[str, Any]:
    tests = basis.tests
    told: dict[str, Any] = {
        "voting": voting,
        "credited_voting": stages[0].credited if stages else None,
        "not_copies_because": not_copies_because,
        "standard": STANDARD,
        "target": basis.target,
        "proof_test_interval_h": tests.interval_h,
        "proof_test_coverage": tests.coverage,
        "full_test_interval_h": tests.full_interval_h,
        "repair_time_h": tests.repair_h,
        "restoration_time_h": tests.restoration_h,
        "beta_by_vote": tests.beta_by_vote,
        "decision": _decision(voting, basis) if is_radial_pair else None,
        "truth_table": table_document(voting, faults_trip_at) if stages else None,
    }
    if not stages:
        because = lacking or f"{voting} is no vote of M out of N"
        return told | _NOT_CALCULATED | {"statement": f"not calculated: {because}"}
    try:
        result = function_result(stages, tests)
    except DomainError as error:
        return told | _NOT_CALCULATED | {"statement": f"not calculated: {error}"}
    compared = _comparison(voting, stages, tests, copies=not not_copies_because) if is_radial_pair else []
    return told | _figures(stages, result, basis) | {"voting_comparison": compared}


def _figures(stages: Sequence[Stage], result: FunctionResult, basis: Basis) -> dict[str, Any]:
    placeholders = _placeholders(stages)
    refused = result.validity.state == "refused"
    blocks = list(basis.untold)
    if placeholders:
        blocks.insert(0, f"placeholder failure data ({', '.join(map(_title, placeholders))})")
    claimed: int | None = None
    meets: bool | None = None
    detail: dict[str, Any] | None = None
    if refused:
        statement = f"refused: {result.validity.reason}"
    elif blocks:
        statement = f"not claimed: {'; '.join(blocks)}"
    else:
        found = levels(result, control_system_risk_reduction=basis.control_system_risk_reduction)
        claimed, detail = found.claimed, asdict(found)
        meets = None if basis.target is None else claimed >= basis.target
        statement = (
            f"{_level(claimed)}: PFDavg {result.pfd:.2E} {_level(found.by_pfd)}, route 1H "
            f"{_level(found.by_route_1h)}, IEC 61511-1 fault tolerance {_level(found.by_fault_tolerance)}"
        )
        if found.control_system_limits:
            statement += "; a basic control system claims no level"
    parts = _parts(result)
    return {
        "pfd_avg": None if refused else result.pfd,
        "spurious_trips_per_year": result.spurious_per_year,
        "validity": {"state": result.validity.state, "reason": result.validity.reason},
        "basis": PLACEHOLDER if placeholders else TOLD,
        "placeholders": placeholders,
        "statement": statement,
        "level_claimed": claimed,
        "levels": detail,
        "limit_pfd": None if basis.target is None else limit_of_level(basis.target),
        "meets_target": meets,
        "governs": "" if refused else _governs(parts),
        "stages": [_stage(each, result.pfd) for each in result.stages],
        "parts": parts,
    }


def _level(level: int) -> str:
    return f"SIL {level}" if level else "no SIL"


def _title(device: str) -> str:
    return DEVICE_TITLES[device]


def _placeholders(stages: Sequence[Stage]) -> list[str]:
    """Return the devices whose data are placeholders, in order of passing."""
    elements = (element for stage in stages for element in stage.elements)
    return list(dict.fromkeys(each.device for each in elements if each.status == PLACEHOLDER))


def _stage(result: StageResult, total: float) -> Mapping[str, Any]:
    stage, rates = result.stage, result.rates
    return {
        "stage": stage.name,
        "voting": stage.voting,
        "credited_voting": stage.credited,
        "legs": stage.legs,
        "parts": len(stage.elements),
        "hardware_fault_tolerance": stage.fault_tolerance,
        "faults_trip": stage.faults_trip,
        "pfd_avg": result.pfd,
        "share": result.pfd / total if total else 0.0,
        "spurious_trips_per_year": result.spurious_per_year,
        "dangerous_undetected_per_h": rates.dangerous_undetected_per_h,
        "dangerous_detected_per_h": rates.dangerous_detected_per_h,
        "safe_per_h": rates.safe_per_h,
        "beta": rates.beta,
        "beta_detected": rates.beta_detected,
        "repair_time_h": rates.repair_h,
        "restoration_time_h": rates.restoration_h,
        "validity": {"state": result.validity.state, "reason": result.validity.reason},
    }


def _parts(result: FunctionResult) -> list[dict[str, Any]]:
    parts = []
    for each in result.stages:
        for element, part in zip(each.stage.elements, each.element_shares, strict=True):
            pfd = each.pfd * part
            parts.append(_part(each, element, pfd, pfd / result.pfd if result.pfd else 0.0))
    return parts


def _part(result: StageResult, element: FailureData, pfd: float, share: float) -> dict[str, Any]:
    return {
        "stage": result.stage.name,
        "device": element.device,
        "title": _title(element.device),
        "count": result.stage.legs,
        "pfd_avg": pfd,
        "share": share,
        "component_type": element.component_type,
        "safe_failure_fraction": fraction_safe(element),
        "dangerous_undetected_per_h": element.dangerous_undetected_per_h,
        "dangerous_detected_per_h": element.dangerous_detected_per_h,
        "safe_detected_per_h": element.safe_detected_per_h,
        "safe_undetected_per_h": element.safe_undetected_per_h,
        "beta": element.beta,
        "beta_detected": element.beta_detected,
        "repair_time_h": element.repair_time_h,
        "restoration_time_h": element.restoration_time_h,
        "status": element.status,
        "source": element.source,
    }


def _governs(parts: Sequence[Mapping[str, Any]]) -> str:
    """Return the parts with their shares as one line, in the order the trip passes them."""
    return " → ".join(f"{part['title']} {part['share'] * _PERCENT:.0f} %" for part in parts)


def _comparison(
    voting: str, stages: Sequence[Stage], tests: Tests, *, copies: bool
) -> list[Mapping[str, Any]]:
    return [
        {
            "voting": line.voting,
            "in_force": line.voting == voting,
            "probes": legs_of(line.voting)[1],
            "pfd_avg_of_copies": line.pfd,
            "pfd_avg": line.pfd_of_components,
            "spurious_trips_per_year": line.spurious_per_year,
            "function_pfd_avg": line.function_pfd,
            "function_spurious_trips_per_year": line.function_spurious_per_year,
        }
        for line in compare_votes(stages, tests, copies=copies)
    ]


def _decision(voting: str, basis: Basis) -> Mapping[str, Any]:
    decided = basis.decided
    state = (
        "decided by the purchaser" if decided is not None else "open: in force until the purchaser decides"
    )
    if decided is not None and decided != voting:
        state = f"set on this group by an override; the purchaser decided {decided.replace('_', ' ')}"
    return {
        "field": "safety.radial_trip_voting",
        "value": decided,
        "text": f"{voting.replace('_', ' ')}, {state}",
        "reason": basis.decided_because if decided is not None else "",
    }


def _findings(function: TripFunction) -> Mapping[str, Any]:
    found, names = function.findings, function.names
    keys = list(function.cause.keys)
    must = 1 if len(keys) == 1 else legs_of(function.voting)[0] if function.stages else len(keys)
    return {
        "trips_alone": keys if must == 1 else [],
        "shared": [names.get(key, key) for key in found.shared] if found.shared else [],
        "common": [names.get(key, key.replace("_", " ")) for key in found.common],
        "networks": [_stretch(text, names) for text in found.networks] if found.networks else [],
        "unreached": [names.get(key, key) for key in found.unreached] if found.unreached else [],
    }


def _stretch(text: str, names: Mapping[str, str]) -> str:
    return " to ".join(names.get(end, end) for end in text.split(" to "))
