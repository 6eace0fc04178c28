"""The protective functions of a proposal as the bench tries them, all numbers in SI."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from specapp.bench.result import FunctionLine
from specapp.domain.proposal import Point, Proposal, Setpoint
from specapp.kernel.shaft_vibration import runout_allowance_pp_um
from specapp.kernel.units import convert

__all__ = ["Function", "functions_of"]

# The unit in which each quantity is modelled.
_MODEL_UNIT: Final[Mapping[str, str]] = {
    "radial_vibration": "um",
    "axial_position": "mm",
    "casing_vibration": "mm/s",
    "bearing_temperature": "degC",
    "winding_temperature": "degC",
    "overspeed": "rpm",
    "phase_reference": "V",
}
_SPEED_FREE: Final = ("bearing_temperature", "winding_temperature")
_FAULTS_TRIP: Final = re.compile(r"\b(both|two) faulted:? trip\b")
_MATERIALS: Final = re.compile(r"\b(?:4130|4140|4142|4145|4340)\b")


@dataclass(frozen=True, slots=True)
class Function:
    """A voting group: what it measures, its setpoints in the unit of the model, its logic, its machine.

    ``level`` is the setpoint that a disturbance is measured by: the trip, or the alarm of a function
    without one. ``lacks`` names the input without which the function cannot be tried.
    """

    key: str
    title: str
    quantity: str
    chain: str
    points: tuple[str, ...]
    tags: tuple[str, ...]
    directions: tuple[str, ...]
    unit: str
    model_unit: str
    detection: str
    range_low: float | None
    range_high: float | None
    alarm: float | None
    trip: float | None
    delay_s: float
    voting: str | None
    must_ask: int
    faults_trip: int | None
    multiplier: float
    multiplier_time_s: float
    multiplier_field: str
    speed_hz: float | None
    speed_field: str
    bull_gear_hz: float | None
    mesh_hz: float | None
    critical_hz: float | None
    critical_field: str
    amplification: float | None
    acceptance_um: float
    normal: float
    runout_um: float
    clearance_mm: float
    float_mm: float
    accelerometer_v_per_g: float
    spacing_passes: bool | None
    material_known: bool | None
    notch: Mapping[str, Any]
    notch_diameter_mm: float | None
    status: str

    @property
    def level(self) -> float:
        found = self.trip if self.trip is not None else self.alarm
        assert found is not None
        return found

    @property
    def lacks(self) -> str | None:
        if self.quantity == "phase_reference":
            return None if self.speed_hz else self.speed_field
        if self.alarm is None and self.trip is None:
            return "setpoints"
        if self.speed_hz is None and self.quantity not in _SPEED_FREE:
            return self.speed_field
        return None

    def shown(self, value: float) -> float:
        """Return a value of the model in the setting unit of the function."""
        return convert(value, self.model_unit, self.unit) if self.unit != self.model_unit else value

    def line(self) -> FunctionLine:
        """Return the function as the result states it."""
        return FunctionLine(
            self.key,
            self.title,
            self.quantity,
            self.chain,
            self.tags,
            self.unit,
            self.detection,
            None if self.alarm is None else round(self.shown(self.alarm), 6),
            None if self.trip is None else round(self.shown(self.trip), 6),
            None if self.quantity == "phase_reference" else self.delay_s,
            self.voting,
            self.multiplier if self.multiplier > 1 else None,
            "" if self.status in ("proposed", "") else f"setpoints are {self.status}",
        )


def functions_of(proposal: Proposal) -> tuple[Function, ...]:
    """Return every function with a setpoint, and every phase reference, in the order of the points."""
    groups: dict[str, list[Point]] = {}
    for point in proposal.points:
        if point.quantity in _MODEL_UNIT:
            groups.setdefault(point.voting_group, []).append(point)
    found = []
    for key, points in groups.items():
        setpoints = points[0].setpoints
        if points[0].quantity == "phase_reference" or setpoints.alarm or setpoints.trip:
            found.append(_function(proposal, key, points))
    return tuple(found)


def _function(proposal: Proposal, key: str, points: list[Point]) -> Function:
    first = points[0]
    alarm, trip = first.setpoints.alarm, first.setpoints.trip
    stated = trip or alarm
    unit = _unit(first)
    model = _MODEL_UNIT[first.quantity]
    shaft, told = _shaft(proposal, first.shaft)
    voting = trip.voting if trip else None
    acceptance = _acceptance(proposal, first.shaft)
    runout = told.get("measured_runout")
    alarm_value = _in_model(alarm, unit, model)
    machine = proposal.machine
    installation = machine.get("installation") or {}
    base = _normal(first.quantity, told, acceptance, alarm_value, _in_model(trip, unit, model))
    field = _field(proposal, first.shaft)
    return Function(
        key=key,
        title=_title(first, len(points)),
        quantity=first.quantity,
        chain=first.chain,
        points=tuple(point.key for point in points),
        tags=tuple(point.tag for point in points),
        directions=tuple(point.direction or point.key.rpartition("/")[2] for point in points),
        unit=unit,
        model_unit=model,
        detection=first.range.detection if first.range else "",
        range_low=_converted(first.range.low.value, unit, model) if first.range else None,
        range_high=_converted(first.range.high.value, unit, model) if first.range else None,
        alarm=alarm_value,
        trip=_in_model(trip, unit, model),
        delay_s=_delay(stated),
        voting=voting,
        must_ask=_must_ask(voting),
        faults_trip=2 if trip and _FAULTS_TRIP.search(trip.on_circuit_fault or "") else None,
        multiplier=first.multiplier.factor if first.multiplier else 1.0,
        multiplier_time_s=first.multiplier.time_out.value if first.multiplier else 0.0,
        multiplier_field=f"{field}.setpoint_multiplier",
        speed_hz=shaft,
        speed_field=f"{field}.speed",
        bull_gear_hz=_shaft(proposal, "BG")[0] if first.shaft.startswith("P") else None,
        mesh_hz=_mesh(proposal, first.shaft),
        critical_hz=told["first_critical_speed"] / 60 if told.get("first_critical_speed") else None,
        critical_field=f"{field}.first_critical_speed",
        amplification=told.get("amplification_factor"),
        acceptance_um=acceptance,
        normal=base,
        runout_um=float(runout) if runout else min(runout_allowance_pp_um(acceptance), 0.35 * acceptance),
        clearance_mm=_clearance(told),
        float_mm=float(told.get("axial_float") or 0.35),
        accelerometer_v_per_g=0.01 if first.transducer.type == "high_frequency_accelerometer" else 0.1,
        spacing_passes=_passes(proposal, "probe.tip_spacing", key),
        material_known=_material(told),
        notch=installation.get("notch") or {},
        notch_diameter_mm=told.get("probe_target_diameter") or told.get("journal_diameter"),
        status=stated.status if stated else "",
    )


def _unit(point: Point) -> str:
    for setpoint in (point.setpoints.trip, point.setpoints.alarm):
        if setpoint is not None:
            return setpoint.unit
    return point.range.high.unit if point.range else _MODEL_UNIT[point.quantity]


def _converted(value: float, unit: str, model: str) -> float:
    return convert(value, unit, model) if unit != model else value


def _in_model(setpoint: Setpoint | None, unit: str, model: str) -> float | None:
    if setpoint is None or setpoint.value is None:
        return None
    return _converted(setpoint.value, unit, model)


def _delay(setpoint: Setpoint | None) -> float:
    return setpoint.delay.value if setpoint is not None and setpoint.delay is not None else 0.0


def _must_ask(voting: str | None) -> int:
    if voting is None:
        return 1
    return 2 if voting == "trip_with_alarm" else int(voting.partition("oo")[0])


def _title(point: Point, legs: int) -> str:
    """Return the title without its last part, which names one leg of several."""
    return point.title.rpartition(", ")[0] if legs > 1 and ", " in point.title else point.title


def _field(proposal: Proposal, shaft: str) -> str:
    if shaft == "BG":
        return "bull_gear"
    if shaft.startswith("M"):
        return "driver"
    names = [pinion.get("name") for pinion in proposal.machine.get("pinions") or ()]
    return f"pinions[{names.index(shaft)}]" if shaft in names else f"pinions[{shaft}]"


def _shaft(proposal: Proposal, name: str) -> tuple[float | None, Mapping[str, Any]]:
    line = next((each for each in proposal.shafts if each.name == name), None)
    rotation = line.rotation_frequency.value if line and line.rotation_frequency else None
    if name == "BG":
        return rotation, proposal.machine.get("bull_gear") or {}
    if name.startswith("M"):
        return rotation, proposal.machine.get("driver") or {}
    pinions = proposal.machine.get("pinions") or ()
    return rotation, next((pinion for pinion in pinions if pinion.get("name") == name), {})


def _acceptance(proposal: Proposal, name: str) -> float:
    line = next((each for each in proposal.shafts if each.name == name), None)
    if line is None or line.acceptance_limit is None:
        return 25.4
    return convert(line.acceptance_limit.value, line.acceptance_limit.unit, "um")


def _mesh(proposal: Proposal, name: str) -> float | None:
    meshes = [line for line in proposal.frequencies if line.kind == "gear_mesh"]
    own = [line.frequency.value for line in meshes if line.shaft == name]
    if own or not meshes or name.startswith("M"):
        return own[0] if own else None
    return max(line.frequency.value for line in meshes)


def _normal(
    quantity: str, told: Mapping[str, Any], acceptance: float, alarm: float | None, trip: float | None
) -> float:
    """Return the level of undisturbed running: the told baseline, else half of what is allowed on test."""
    top = alarm if alarm is not None else trip
    if quantity == "radial_vibration":
        baseline = told.get("baseline_vibration")
        level = float(baseline) if baseline else acceptance / 2
        return level if top is None else min(level, 0.7 * top)
    if quantity == "casing_vibration":
        baseline = told.get("casing_baseline")
        level = float(baseline) if baseline else 1.0
        return level if top is None else min(level, 0.5 * top)
    if quantity in _SPEED_FREE:
        return 70.0 if top is None else min(75.0, top - 20)
    return 0.0


def _clearance(told: Mapping[str, Any]) -> float:
    """Return the diametral clearance [mm]; 1.5 per mille of the journal where it is not told."""
    clearance = told.get("diametral_clearance")
    return float(clearance) if clearance else 0.0015 * float(told.get("journal_diameter") or 60.0)


def _passes(proposal: Proposal, name: str, subject: str) -> bool | None:
    for check in proposal.checks:
        if check.check == name and check.subject == subject and check.result != "not_evaluated":
            return check.result == "pass"
    return None


def _material(told: Mapping[str, Any]) -> bool | None:
    material = told.get("shaft_material")
    return None if not material else bool(_MATERIALS.search(str(material)))
