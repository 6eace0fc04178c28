"""Checks between the fields of a description: what no single field can know.

Each check takes a description in which unreadable values are missing, and reports at the narrower of
the fields it compares. A value that is missing only because it could not be read is never reported as
missing.
"""

from __future__ import annotations

from math import pi, sin

from specapp.domain.context import ReadingContext
from specapp.domain.devices import check_devices
from specapp.domain.display import typed_number
from specapp.domain.findings import Findings, Location
from specapp.domain.machine import (
    MachineDescription,
    Pinion,
    Safety,
    input_pinion,
    resolved_bull_gear_speed_rpm,
    resolved_pinion_speed_rpm,
)
from specapp.domain.stages import place_stages

# Given speed and tooth ratio of one pinion describe the same gear; rounding explains this much, no more.
RATIO_TOLERANCE = 0.001
# Widest range a journal clearance can have; a caution in the rules marks the unusual ones inside it.
CLEARANCE_PER_MILLE = (0.5, 5.0)


def _rpm(speed: float) -> str:
    return f"{typed_number(round(speed, 1))} r/min"


def check_machine(machine: MachineDescription, context: ReadingContext, findings: Findings) -> None:
    """Report everything wrong between the fields of one description."""
    _required(machine, findings)
    _trains(findings)
    _speeds(machine, findings)
    for index, pinion in enumerate(machine.pinions):
        _pinion(machine, index, pinion, findings)
    _names(machine, findings)
    _stages(machine, findings)
    _clearance(
        ("bull_gear",), machine.bull_gear.journal_diameter, machine.bull_gear.diametral_clearance, findings
    )
    _axial_location(machine, findings)
    _axial_clearances(machine, context, findings)
    _driver(machine, findings)
    ambient = machine.ambient
    if ambient.minimum is not None and ambient.maximum is not None and ambient.minimum > ambient.maximum:
        findings.add(("ambient", "minimum"), f"at most the maximum, {typed_number(ambient.maximum)} degC")
    _safety(machine.safety, findings)
    check_devices(machine.devices, findings)


def _safety(safety: Safety, findings: Findings) -> None:
    test, full = safety.proof_test_interval, safety.full_test_interval
    if test is not None and full is not None and full < test:
        findings.add(
            ("safety", "full_test_interval"), f"at least the proof-test interval, {typed_number(test)} h"
        )


def _required(machine: MachineDescription, findings: Findings) -> None:
    if machine.tag is None:
        findings.add(("tag",), "1 to 40 letters, digits, spaces and - _ . /")
    if machine.service_class is None:
        findings.add(("service_class",), "process or packaged_air")
    if machine.stage_count is None:
        findings.add(("stage_count",), "a whole number from 1 to 10")
    if machine.hazardous_area is None:
        findings.add(("hazardous_area",), '"unclassified", or an object with zone or division')
    if not machine.pinions:
        findings.add(("pinions",), "a list of 1 to 5 pinions")


def _trains(findings: Findings) -> None:
    seen: set[str] = set()
    for index, train in findings.texts("trains"):
        # Tags of two trains that differ in capitals only would name one folder on many systems.
        if train.casefold() in seen:
            findings.add(("trains", index), "a label that no other train has")
        seen.add(train.casefold())


def _speeds(machine: MachineDescription, findings: Findings) -> None:
    bull = resolved_bull_gear_speed_rpm(machine)
    if bull is None:
        # A driver speed or tooth count that could not be read may have been meant to give it.
        unread: list[Location] = [("bull_gear", "teeth"), ("driver", "speed"), ("pinions",)]
        unread += [("pinions", i, field) for i in range(len(machine.pinions)) for field in ("role", "teeth")]
        if not any(findings.wrong(*place) for place in unread):
            findings.add(("bull_gear", "speed"), "a speed from 100 to 200 000 r/min, or driver.speed instead")
        return
    if not 100 <= bull <= 200_000 and machine.bull_gear.speed is None:
        findings.add(("bull_gear", "teeth"), f"teeth that give 100 to 200 000 r/min; these give {_rpm(bull)}")
    minimum = machine.bull_gear.minimum_speed
    if minimum is not None and minimum > bull:
        findings.add(("bull_gear", "minimum_speed"), f"at most the bull gear's speed, {_rpm(bull)}")


def _pinion(machine: MachineDescription, index: int, pinion: Pinion, findings: Findings) -> None:
    place = ("pinions", index)
    bull = resolved_bull_gear_speed_rpm(machine)
    speed = resolved_pinion_speed_rpm(machine, pinion)
    if speed is None:
        _missing_speed(machine, index, pinion, findings)
    elif bull is not None:
        _pinion_speed(machine, index, pinion, bull, speed, findings)
    if speed is not None and pinion.trip_speed is not None and pinion.trip_speed <= speed:
        findings.add((*place, "trip_speed"), f"above the pinion's speed, {_rpm(speed)}, up to 200 000 r/min")
    _clearance(place, pinion.journal_diameter, pinion.diametral_clearance, findings)


def _missing_speed(machine: MachineDescription, index: int, pinion: Pinion, findings: Findings) -> None:
    places: list[Location] = [("pinions", index, "teeth"), ("bull_gear", "teeth")]
    if pinion.teeth is not None:
        # Only the bull gear's speed is missing, which is reported at its own place.
        if machine.bull_gear.teeth is not None:
            return
        places.append(("bull_gear", "speed"))
    if pinion.role == "input":
        places.append(("driver", "speed"))
    if any(findings.wrong(*place) for place in places):
        return
    findings.add(
        ("pinions", index, "speed"),
        "a speed from 100 to 200 000 r/min, or teeth here and bull_gear.teeth",
    )


def _pinion_speed(
    machine: MachineDescription, index: int, pinion: Pinion, bull: float, speed: float, findings: Findings
) -> None:
    told = ("pinions", index, "teeth" if pinion.speed is None and pinion.teeth is not None else "speed")
    if speed <= bull:
        findings.add(told, f"faster than the bull gear, {_rpm(bull)}, up to 200 000 r/min")
        return
    if speed > 200_000:
        findings.add(told, f"teeth that give at most 200 000 r/min; these give {_rpm(speed)}")
        return
    gear_teeth = machine.bull_gear.teeth
    told_speed = pinion.speed
    if told_speed is None and pinion is input_pinion(machine) and machine.driver is not None:
        told_speed = machine.driver.speed
    if told_speed is None or pinion.teeth is None or gear_teeth is None:
        return
    by_teeth = bull * gear_teeth / pinion.teeth
    if abs(told_speed - by_teeth) > RATIO_TOLERANCE * by_teeth * (1 + 1e-9):
        ratio = f"{_rpm(bull)} times {gear_teeth}/{pinion.teeth} teeth"
        findings.add(
            ("pinions", index, "speed"), f"within 0.1 percent of {_rpm(by_teeth)}", message=f"that is {ratio}"
        )


def _names(machine: MachineDescription, findings: Findings) -> None:
    """Report a name used twice; a pinion without one goes by P1, P2... in its place."""
    seen: dict[str, int] = {}
    for index, pinion in enumerate(machine.pinions):
        if findings.wrong("pinions", index, "name"):
            continue
        name = (pinion.name or f"P{index + 1}").upper()
        if name in seen:
            # The pinion that was named is the one to rename.
            told, other = (index, seen[name]) if pinion.name else (seen[name], index)
            findings.add(
                ("pinions", told, "name"),
                "a name that no other pinion has",
                message=f"as pinions[{other}]",
            )
        seen.setdefault(name, index)


def _stages(machine: MachineDescription, findings: Findings) -> None:
    if findings.wrong("pinions") or findings.wrong("stage_count") or not machine.pinions:
        return
    if any(findings.wrong("pinions", i, "role") for i in range(len(machine.pinions))):
        return
    count = machine.stage_count
    driven = sum(pinion.role == "driven" for pinion in machine.pinions)
    if not driven:
        findings.add(("pinions",), "at least one driven pinion", found="input pinions only")
        return
    if not driven <= count <= 2 * driven:
        findings.add(
            ("stage_count",),
            f"{driven} to {2 * driven}: one or two stages on each of {driven} driven pinions"
            if driven > 1
            else "1 or 2 on one driven pinion",
        )
        return
    if any(findings.wrong("pinions", i, "stages") for i in range(len(machine.pinions))):
        return
    placed, problems = place_stages(count, machine.pinions)
    for problem in problems:
        findings.add(("pinions", problem.pinion, problem.field), problem.allowed, message=problem.message)
    for index, (pinion, own) in enumerate(zip(machine.pinions, placed, strict=True)):
        if findings.wrong("pinions", index, "stages"):
            continue
        number = len(own.stages)
        each = (
            f"one number for each of its {number} stages" if number != 1 else "one number for its one stage"
        )
        each = each if number else "nothing: this pinion carries no stage"
        for field, values in (
            ("impeller_blades", pinion.impeller_blades),
            ("diffuser_vanes", pinion.diffuser_vanes),
        ):
            if values and len(values) != number:
                findings.add(("pinions", index, field), each)
        stray = [stage for stage in pinion.expander_stages if stage not in own.stages]
        if stray or len(set(pinion.expander_stages)) != len(pinion.expander_stages):
            carried = " and ".join(str(stage) for stage in own.stages) or "none"
            findings.add(("pinions", index, "expander_stages"), f"stages that this pinion carries: {carried}")


def _clearance(
    place: Location, journal_mm: float | None, clearance_mm: float | None, findings: Findings
) -> None:
    if journal_mm is None or clearance_mm is None:
        return
    low, high = (per_mille * journal_mm / 1000 for per_mille in CLEARANCE_PER_MILLE)
    if not low * (1 - 1e-9) <= clearance_mm <= high * (1 + 1e-9):
        findings.add(
            (*place, "diametral_clearance"),
            f"{typed_number(round(low, 6))} to {typed_number(round(high, 6))} mm",
            message=f"0.5 to 5 per mille of the {typed_number(journal_mm)} mm journal",
        )


def _axial_location(machine: MachineDescription, findings: Findings) -> None:
    if machine.bull_gear.thrust_bearing is not False:
        return
    places = range(len(machine.pinions))
    if findings.wrong("pinions") or any(findings.wrong("pinions", i, "axial_location") for i in places):
        return
    if not any(pinion.axial_location == "thrust_bearing" for pinion in machine.pinions):
        findings.add(
            ("bull_gear", "thrust_bearing"),
            "true, or a pinion with axial_location thrust_bearing",
            message="collars and mesh locate a pinion only against the gear; nothing locates the train",
        )


def _axial_clearances(machine: MachineDescription, context: ReadingContext, findings: Findings) -> None:
    default = _default_float_mm(machine, context)
    bull = machine.bull_gear
    bull_float = bull.axial_float if bull.axial_float is not None else default
    bull_known = not findings.wrong("bull_gear", "axial_float") and bull.thrust_bearing is not False
    shafts: list[tuple[Location, float | None, list[tuple[str, float | None]]]] = []
    if bull_known:
        shafts.append((("bull_gear",), bull.impeller_axial_clearance, [("bull gear", bull_float)]))
    for index, pinion in enumerate(machine.pinions):
        floats: list[tuple[str, float | None]] = []
        if not findings.wrong("pinions", index, "axial_float"):
            floats.append(("pinion", pinion.axial_float if pinion.axial_float is not None else default))
        # A pinion held by collars or mesh moves with the bull gear, so its impellers must clear that float.
        if bull_known and pinion.axial_location != "thrust_bearing":
            floats.append(("bull gear", bull_float))
        shafts.append((("pinions", index), pinion.impeller_axial_clearance, floats))
    for place, clearance, floats in shafts:
        largest = max(((value, whose) for whose, value in floats if value is not None), default=None)
        if clearance is None or largest is None:
            continue
        half = largest[0] / 2
        if clearance <= half:
            findings.add(
                (*place, "impeller_axial_clearance"),
                f"above {typed_number(half)} mm, half the axial float of the {largest[1]}",
                message="the impeller would rub inside the float",
            )


def _default_float_mm(machine: MachineDescription, context: ReadingContext) -> float | None:
    override = machine.criteria.get("axial.float_default")
    limits = context.criteria.get("axial.float_default")
    value = override.value if override is not None else (limits.default if limits is not None else None)
    return value if isinstance(value, float | int) else None


def _driver(machine: MachineDescription, findings: Findings) -> None:
    driver = machine.driver
    if driver is None:
        return
    bearing = driver.rolling_bearing
    if bearing is None:
        return
    ball, pitch = bearing.ball_diameter, bearing.pitch_diameter
    if ball is None or pitch is None:
        return
    place = ("driver", "rolling_bearing")
    if ball >= pitch:
        findings.add((*place, "ball_diameter"), f"below the pitch diameter, {typed_number(pitch)} mm")
    elif bearing.balls is not None and ball > pitch * sin(pi / bearing.balls):
        findings.add(
            (*place, "balls"),
            f"as many as fit: at {typed_number(ball)} mm they would overlap on the pitch circle",
        )
