"""Failure data in force for one machine: told for a kind of device, or the placeholder."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from specapp.catalogue.failure_data import FailureData, placeholder
from specapp.domain.devices import RATES
from specapp.domain.machine import MachineDescription

_NEEDED: Final = (*RATES, "component_type")
_OF_A_VOTE: Final = ("beta", "beta_detected")

DEVICE_TITLES: Final = {
    "probe": "proximity probe with extension cable",
    "oscillator_demodulator": "oscillator-demodulator",
    "transmitter": "transmitter",
    "accelerometer": "accelerometer",
    "velocity_sensor": "velocity sensor",
    "resistance_thermometer": "resistance thermometer",
    "speed_sensor": "speed sensor",
    "isolator": "galvanic isolator",
    "monitor_module": "monitor module",
    "relay": "relay output",
    "shutdown_logic": "shutdown system logic",
    "overspeed_logic": "overspeed circuit",
    "control_system": "basic control system",
    "driver_breaker": "driver circuit breaker",
    "trip_valve": "trip valve",
    "motor_relay": "motor relay",
}


@dataclass(slots=True)
class DataInForce:
    """Failure data by kind of device, each looked up once.

    Told data count only when complete: a placeholder for one rate beside a told one would make a number
    that nobody stands for. ``missing`` names what a partly told device lacks, by its path in machine/1.
    """

    machine: MachineDescription
    missing: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _found: dict[tuple[str, bool], FailureData] = field(default_factory=dict)

    def of(self, device: str, *, redundant: bool) -> FailureData:
        """Return the data of a device; ``redundant``: its common cause with another counts."""
        key = (device, redundant)
        if key not in self._found:
            self._found[key] = self._look_up(device, redundant)
        return self._found[key]

    def _look_up(self, device: str, redundant: bool) -> FailureData:
        told = self.machine.devices.get(device)
        if told is None:
            return placeholder(device)
        needed = _NEEDED + _OF_A_VOTE if redundant else _NEEDED
        lacking = tuple(name for name in needed if getattr(told, name) is None)
        if lacking:
            if any(getattr(told, name) is not None for name in RATES):
                self.missing[device] = tuple(f"devices.{device}.{name}" for name in lacking)
            return placeholder(device)
        assert told.component_type is not None
        rates: dict[str, float] = {name: getattr(told, name) for name in RATES}
        return FailureData(
            device=device,
            component_type=told.component_type,
            **rates,
            beta=told.beta,
            beta_detected=told.beta_detected,
            repair_time_h=told.repair_time,
            restoration_time_h=told.restoration_time,
            source=told.failure_data_source,
            status="told",
        )
