"""Invented failure data for the tests of trip reliability."""

from __future__ import annotations

from typing import Any

from specapp.catalogue.failure_data import FailureData
from specapp.domain.devices import DEVICE_NAMES
from specapp.rulebook.reliability import Stage, Tests

YEAR_H = 8760.0

TOLD_SAFETY: dict[str, Any] = {
    "sil_target": 2,
    "proof_test_interval": "1 year",
    "proof_test_coverage": 1.0,
    "radial_trip_voting": "1oo2",
}


def element(undetected: float, detected: float = 0.0, **changes: Any) -> FailureData:
    """Return told failure data with these dangerous rates."""
    facts: dict[str, Any] = {
        "device": "probe",
        "component_type": "A",
        "dangerous_undetected_per_h": undetected,
        "dangerous_detected_per_h": detected,
        "safe_detected_per_h": 0.0,
        "safe_undetected_per_h": 1e-6,
        "beta": 0.0,
        "beta_detected": 0.0,
        "repair_time_h": None,
        "restoration_time_h": None,
        "source": "invented",
        "status": "told",
    }
    return FailureData(**{**facts, **changes})


def stage(voting: str, *elements: FailureData, **changes: Any) -> Stage:
    """Return a stage whose vote is credited as built."""
    return Stage(**{"name": "sensors", "voting": voting, "credited": voting, "elements": elements, **changes})


def proof_tested(**changes: Any) -> Tests:
    """Return yearly proof tests that find everything, repair and restoration in 8 h."""
    facts: dict[str, Any] = {
        "interval_h": YEAR_H,
        "coverage": 1.0,
        "full_interval_h": None,
        "repair_h": 8.0,
        "restoration_h": 8.0,
        "beta_by_vote": False,
    }
    return Tests(**{**facts, **changes})


def told_devices(**changes: Any) -> dict[str, Any]:
    """Return complete, invented data of every kind of device; a device given as None is left out."""
    data: dict[str, Any] = {
        name: {
            "dangerous_undetected_per_h": 5e-8,
            "dangerous_detected_per_h": 2e-7,
            "safe_detected_per_h": 2e-7,
            "safe_undetected_per_h": 1e-7,
            "component_type": "A",
            "beta": 0.05,
            "beta_detected": 0.02,
            "failure_data_source": "invented data sheet",
        }
        for name in DEVICE_NAMES
    }
    for name, change in changes.items():
        if change is None:
            del data[name]
        else:
            data[name] = {**data[name], **change}
    return data
