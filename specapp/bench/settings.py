"""What the model must know of devices: from the proposal, from its criteria, or taken and marked so.

A proposal specifies; the device that is bought has further properties: how long its detector looks back, how
it rejects spikes, when it believes a fault. Until they are told, the values here stand, every one named in
the result with its status, and none of them changes a setting of the proposal.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from math import isfinite
from typing import Any, Final

from specapp.bench.result import SettingRead
from specapp.criteria.loader import load_defaults
from specapp.domain.proposal import Proposal
from specapp.kernel.cables import five_percent_bandwidth_hz

__all__ = ["DeviceSettings", "SettingError", "settings_of", "told_settings"]

_TAKEN: Final = "common practice"


@dataclass(frozen=True, slots=True)
class DeviceSettings:
    """Properties of the chain, units in the names. None: no such stage is modelled."""

    scale_factor_v_per_mm: float = 7.87
    gap_set_v: float = -10.0
    mid_gap_mm: float = 1.27
    linear_range_mm: float = 2.0
    fault_near_v: float = -2.0
    fault_far_v: float = -18.0
    supply_v: float = -24.0
    scale_error_percent: float = 10.0
    cable_bandwidth_hz: float | None = None
    band_low_hz: float = 4.0
    band_high_hz: float = 4000.0
    axial_band_hz: float = 10.0
    casing_low_hz: float = 10.0
    casing_high_hz: float = 1000.0
    sample_rate_hz: float | None = None
    anti_alias: bool = True
    samples_per_turn: float = 20.0
    detector_window_s: float = 0.25
    rms_window_s: float = 0.5
    spike_rejection: bool = True
    spike_ratio: float = 3.0
    spike_hold_s: float = 5.0
    fault_confirm_s: float = 0.01
    fault_return_s: float = 2.0
    temperature_rate_k_per_s: float = 5.0
    transmitter_damping_s: float = 0.1
    controller_scan_s: float = 0.25
    response_allowance_s: float = 0.1
    run_up_s: float = 10.0
    pulse_height_v: float = 6.0
    pulse_width_us: float = 100.0
    smallest_change_um: float = 2.5
    whirl_order: float = 0.43


# Setting: what it is in words, unit, least and greatest value that may be told.
_TELLABLE: Final[Mapping[str, tuple[str, str, float, float]]] = {
    "sample_rate_hz": ("Sampling rate of the device", "Hz", 100.0, 10e6),
    "anti_alias": ("Low-pass before the sampler, 1 there or 0 absent", "1", 0.0, 1.0),
    "detector_window_s": ("Time the peak-to-peak detector looks back", "s", 0.01, 10.0),
    "rms_window_s": ("Time the r.m.s. detector averages over", "s", 0.05, 30.0),
    "spike_rejection": ("Rejection of one-sided spikes, 1 on or 0 off", "1", 0.0, 1.0),
    "spike_ratio": ("One side over the other, from which a peak counts as a spike", "1", 1.5, 20.0),
    "spike_hold_s": ("Time after which a one-sided signal is believed", "s", 0.1, 60.0),
    "fault_confirm_s": ("Time a circuit fault must last to count", "s", 0.0, 5.0),
    "fault_return_s": ("Time a healed circuit stays out of the vote", "s", 0.0, 60.0),
    "transmitter_damping_s": ("Damping of the transmitter", "s", 0.001, 30.0),
    "controller_scan_s": ("Scan time of the control system", "s", 0.001, 10.0),
    "response_allowance_s": ("Response allowed beyond detector and delay", "s", 0.0, 10.0),
    "run_up_s": ("Time of the run-up from rest to full speed", "s", 0.5, 600.0),
    "cable_bandwidth_hz": ("The -3 dB frequency of source, interface and cable", "Hz", 10.0, 1e7),
}
_SWITCHES: Final = ("spike_rejection", "anti_alias")
# Setting read from a criterion: its key and the factor to the unit of the setting.
_FROM_CRITERIA: Final[Mapping[str, str]] = {
    "scale_factor_v_per_mm": "probe.scale_factor",
    "gap_set_v": "probe.gap_voltage",
    "mid_gap_mm": "probe.mid_gap",
    "linear_range_mm": "probe.linear_range",
    "fault_near_v": "probe.fault_voltage_near",
    "fault_far_v": "probe.fault_voltage_far",
    "scale_error_percent": "probe.scale_error_operating",
    "band_low_hz": "radial.band_low",
    "band_high_hz": "radial.band_high",
    "samples_per_turn": "radial.samples_per_turn",
    "temperature_rate_k_per_s": "temperature.rate_limit",
    "pulse_height_v": "pulse.height",
    "pulse_width_us": "pulse.width",
    "smallest_change_um": "radial.smallest_change",
}
_WORDS: Final[Mapping[str, tuple[str, str]]] = {
    "supply_v": ("Supply of the oscillator-demodulator", "V"),
    "axial_band_hz": ("Low-pass of the axial reading", "Hz"),
    "casing_low_hz": ("Low end of the casing velocity band", "Hz"),
    "casing_high_hz": ("High end of the casing velocity band", "Hz"),
    "whirl_order": ("Order of the whirl that is tried", "1"),
}


class SettingError(ValueError):
    """Told settings that cannot be: every problem at once, each with the name, found and allowed."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("; ".join(problems))
        self.problems = problems


def told_settings() -> Mapping[str, tuple[str, str, float, float]]:
    """Return what may be told of a device: name to words, unit, least and greatest value."""
    return _TELLABLE


def settings_of(
    proposal: Proposal, told: Mapping[str, float] | None = None
) -> tuple[DeviceSettings, tuple[SettingRead, ...]]:
    """Return the settings of the model for a proposal, and where each one comes from.

    Raises
    ------
    SettingError
        If a told setting is unknown or out of its range.
    """
    told = dict(told or {})
    _refuse(told)
    values: dict[str, Any] = {}
    reads: list[SettingRead] = []
    stored = {str(row["key"]): row for row in proposal.criteria}
    for name, key in _FROM_CRITERIA.items():
        row = stored.get(key)
        if row is None:
            default = load_defaults().get(key)
            value, unit, title, status = default.value, default.unit, default.title, default.status
        else:
            value, unit = float(row["value"]), str(row["unit"])
            title, status = str(row["title"]), str(row["status"])
        values[name] = value
        reads.append(SettingRead(name, title, value, unit, key, status))
    for name, (value, source) in _from_machine(proposal).items():
        values[name] = value
        words, unit, *_ = _TELLABLE[name]
        reads.append(SettingRead(name, words, value, unit, source, _TAKEN))
    for name, value in told.items():
        values[name] = bool(value) if name in _SWITCHES else float(value)
        words, unit, *_ = _TELLABLE[name]
        reads = [read for read in reads if read.name != name]
        reads.append(SettingRead(name, words, float(value), unit, "told for the bench", "told"))
    found = replace(DeviceSettings(), **values)
    known = {read.name for read in reads}
    for each in fields(found):
        if each.name in known:
            continue
        words, unit = _WORDS.get(each.name) or _TELLABLE[each.name][:2]
        value = getattr(found, each.name)
        number = None if value is None else float(value)
        source = "not known, not modelled" if value is None else "taken until the device is known"
        reads.append(SettingRead(each.name, words, number, unit, source, _TAKEN))
    return found, tuple(sorted(reads, key=lambda read: read.name))


def _refuse(told: Mapping[str, float]) -> None:
    problems = []
    for name, value in told.items():
        if name not in _TELLABLE:
            problems.append(f"{name}: no such setting; allowed are {', '.join(sorted(_TELLABLE))}")
            continue
        words, unit, least, most = _TELLABLE[name]
        number = isinstance(value, (int, float)) and isfinite(value)
        if not number or not least <= value <= most:
            problems.append(f"{name} ({words}): found {value!r}, allowed {least:g} to {most:g} {unit}")
    if problems:
        raise SettingError(tuple(problems))


def _from_machine(proposal: Proposal) -> dict[str, tuple[float, str]]:
    found: dict[str, tuple[float, str]] = {}
    installation = proposal.machine.get("installation") or {}
    if installation.get("sample_rate"):
        found["sample_rate_hz"] = (float(installation["sample_rate"]), "installation.sample_rate")
    measured = [
        check.measured.value
        for check in proposal.checks
        if check.check == "cable.bandwidth" and check.measured is not None and check.measured.unit == "Hz"
    ]
    if measured:
        # The check states the -5 percent frequency; the model wants that of -3 dB.
        found["cable_bandwidth_hz"] = (min(measured) / five_percent_bandwidth_hz(1.0), "cable.bandwidth")
    return found
