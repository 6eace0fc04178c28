"""Checks and the candidates of setpoints in words: every key that a sentence would otherwise show."""

from __future__ import annotations

from specapp.criteria.loader import load_defaults

CHECK_WORDS = {
    "accelerometer.band": "band of the accelerometer",
    "area.handled_gas": "gases handled against the area",
    "area.listed_gas": "gases of the area in the lists",
    "area.marking": "marking for the area",
    "area.protection": "protection concept for the area",
    "axial.trip_inside_valid_gap": "axial trip inside the valid gap",
    "cable.bandwidth": "bandwidth of the field cable",
    "cable.length": "length of the field cable",
    "clearance.per_mille": "clearance for the journal",
    "delay.transmitter_chain": "delay of the transmitter chain",
    "intrinsic_safety.entity": "intrinsically safe loop",
    "loop.charging": "charging of the loop's cable",
    "loop.digital_signal": "digital signal on the loop",
    "loop.supply": "supply of the loop",
    "loop.trip_current": "loop current at the trip",
    "overspeed.events": "events for overspeed",
    "probe.linear_range": "linear range of the probe",
    "probe.runout": "runout under the probe",
    "probe.shaft_diameter": "shaft diameter for the probe",
    "probe.side_clearance": "clear of metal beside the tip",
    "probe.split_line": "probes and the split line",
    "probe.system_length": "system length of the probe",
    "probe.target_material": "target material of the probe",
    "probe.temperature": "temperature at the probe",
    "probe.tip_spacing": "spacing of the tips",
    "probe.track_width": "width of the probe track",
    "pulse.height": "height of the pulse",
    "pulse.notch": "size of the notch",
    "pulse.rate": "rate of pulses",
    "pulse.width": "width of the pulse",
    "rack.single_fault": "a single fault in the rack",
    "radial.band": "band of the radial measurement",
    "radial.sampling": "sampling of the radial measurement",
    "range.full_scale": "full scale for the trip",
    "range.setpoints": "setpoints inside the range",
    "safety.bypass": "bypass during the test",
    "safety.network": "trip over a network",
    "safety.shared_module": "module shared by the sensors of a trip",
    "safety.target": "level of the trip against its target",
    "safety.vote": "vote for the sensors of the trip",
    "safety.validity": "validity of the failure model",
    "scope.packaged_air": "packaged air class for this machine",
    "setpoint.clearance_below_acceptance": "clearance share below the acceptance limit",
    "setpoint.low_trip": "trip close above the acceptance limit",
    "setpoint.multiplied_trip": "multiplied trip inside the range",
    "speeds.coupling": "speeds of driver and bull gear",
    "speeds.surface": "surface speed of the journal",
    "tags.look_alike": "tags that look alike",
    "trip.single_sensor": "trip on a single sensor",
}
# What governs a setpoint, as the subject of a sentence; criteria not named here say their title.
_CANDIDATE_WORDS = {
    "axial.allowance_cap": "the cap on axial travel",
    "axial.babbitt_share": "the babbitt thickness",
    "axial.rub_share": "the axial way to a rub",
    "casing.acceleration_alarm": "the usual acceleration alarm",
    "casing.baseline": "the casing baseline",
    "casing.zone": "the casing zone boundary",
    "motor.radial_alarm": "the motor's usual alarm",
    "motor.radial_trip": "the motor's usual trip",
    "radial.alarm_clearance": "the journal clearance",
    "radial.alarm_multiple": "the multiple of the acceptance limit",
    "radial.alarm_zone": "the shaft zone boundary",
    "radial.baseline": "the baseline measured on test",
    "radial.minimum_separation": "the least ratio of trip to alarm",
    "radial.trip_clearance": "the journal clearance",
    "radial.trip_multiple": "the multiple of the acceptance limit",
    "radial.trip_zone": "the shaft zone boundary",
    "temperature.babbitt_limit": "the babbitt's limit",
    "override": "a value set by hand",
}


def check_words(check: str) -> str:
    """Return a check in words: "cable.bandwidth" is "bandwidth of the field cable"."""
    return CHECK_WORDS.get(check) or check.replace(".", " ").replace("_", " ")


def candidate_words(criterion: str) -> str:
    """Return what governs a setpoint in words: "radial.trip_clearance" is "the journal clearance"."""
    return _CANDIDATE_WORDS.get(criterion) or criterion_title(criterion)


def criterion_title(key: str) -> str:
    """Return the title of a criterion as part of a sentence, the key where there is none."""
    defaults = load_defaults()
    if key not in defaults:
        return key
    title = defaults.get(key).title
    return f"{title[0].lower()}{title[1:]}"
