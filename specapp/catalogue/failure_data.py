"""Failure data of the devices of a trip function: placeholders until those of the chosen devices are told."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Final, Literal

from specapp.domain.proposal import Record

__all__ = ["PLACEHOLDER", "PLACEHOLDER_SOURCE", "TOLD", "FailureData", "placeholder", "placeholders"]

PLACEHOLDER: Final = "placeholder"
TOLD: Final = "told"
PLACEHOLDER_SOURCE: Final = "invented figures of this project, for illustration only"


class FailureData(Record, frozen=True):
    """Failure rates of one device [1/h], its common-cause shares and repair times [h].

    ``beta`` and the repair times are None where nobody told them. ``status`` is told (by the user, with
    ``source``) or placeholder: a placeholder is never the basis of a claim.
    """

    device: str
    component_type: Literal["A", "B"]
    dangerous_undetected_per_h: float
    dangerous_detected_per_h: float
    safe_detected_per_h: float
    safe_undetected_per_h: float
    beta: float | None
    beta_detected: float | None
    repair_time_h: float | None
    restoration_time_h: float | None
    source: str
    status: Literal["told", "placeholder"]

    @property
    def safe_per_h(self) -> float:
        """Rate of all safe failures [1/h]."""
        return self.safe_detected_per_h + self.safe_undetected_per_h


@cache
def placeholders() -> Mapping[str, FailureData]:
    """Return the placeholder of every kind of device, by the device names of machine/1."""
    text = resources.files("specapp.catalogue").joinpath("data/failure_data.toml").read_text("utf-8")
    return MappingProxyType(
        {
            device: FailureData(
                device=device,
                repair_time_h=None,
                restoration_time_h=None,
                source=PLACEHOLDER_SOURCE,
                status="placeholder",
                **figures,
            )
            for device, figures in tomllib.loads(text).items()
        }
    )


def placeholder(device: str) -> FailureData:
    """Return the placeholder failure data of a kind of device. Raises KeyError for a name of none."""
    return placeholders()[device]
