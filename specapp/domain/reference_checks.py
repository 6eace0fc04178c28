"""Checks of what a description refers to: gases, the area's classes, sources and criteria.

Beside `machine_checks`, which compares the fields of the machine itself.
"""

from __future__ import annotations

from specapp.domain.context import CriterionLimits, ReadingContext, gas_key
from specapp.domain.display import typed_number
from specapp.domain.findings import Findings, Location
from specapp.domain.machine import HazardousArea, MachineDescription
from specapp.domain.problems import alternatives
from specapp.domain.quantities import QuantityError, parse_quantity
from specapp.kernel.units import UNITS

ZONE_GROUPS = ("IIA", "IIB", "IIB+H2", "IIC")
DIVISION_GROUPS = ("A", "B", "C", "D")
ZONE_CLASSES = ("T1", "T2", "T3", "T4", "T5", "T6")
DIVISION_CLASSES = (
    *("T1", "T2", "T2A", "T2B", "T2C", "T2D", "T3", "T3A", "T3B", "T3C", "T4", "T4A", "T5", "T6"),
)


def check_references(machine: MachineDescription, context: ReadingContext, findings: Findings) -> None:
    """Report unknown gases, classes of the wrong system, sources of nothing and bad overrides."""
    _handled_gases(machine, context, findings)
    if machine.hazardous_area is not None:
        _area(machine.hazardous_area, context, findings)
    _sources(machine, findings)
    _overrides(machine, context, findings)


def _unknown_gas(place: Location, name: str, context: ReadingContext, findings: Findings) -> None:
    close = alternatives(gas_key(name), context.gas_kinds)
    hint = f"did you mean {close}?" if close else ""
    findings.add(place, "a gas of the catalogue by its name or CAS number", message=hint)


def _handled_gases(machine: MachineDescription, context: ReadingContext, findings: Findings) -> None:
    for index, name in findings.texts("gases"):
        gas = context.gas(name)
        if gas is None:
            _unknown_gas(("gases", index), name, context, findings)
        elif machine.service_class == "packaged_air":
            flags = (
                ("flammable", gas.flammable),
                ("toxic", gas.toxic),
                ("oxygen-enriched", gas.oxygen_enriched),
            )
            dangers = [word for word, applies in flags if applies]
            if dangers:
                findings.add(
                    ("gases", index),
                    "air or an inert gas in packaged air service; service_class process for this one",
                    message=f"{gas.name} is {' and '.join(dangers)}",
                )


def _area(area: HazardousArea, context: ReadingContext, findings: Findings) -> None:
    place = "hazardous_area"
    for index, name in findings.texts(place, "area_gases"):
        if context.gas(name) is None:
            _unknown_gas((place, "area_gases", index), name, context, findings)
    if area.unclassified or findings.wrong(place):
        return
    if area.zone is not None and area.division is not None:
        findings.add(
            (place,), "zone or division, not both", found=f"zone {area.zone} and division {area.division}"
        )
        return
    if area.zone is None and area.division is None:
        if not findings.wrong(place, "zone") and not findings.wrong(place, "division"):
            findings.add(
                (place,),
                'zone 0, 1 or 2, division 1 or 2, or the word "unclassified"',
                found="neither zone nor division",
            )
        return
    system = "zones" if area.zone is not None else "divisions"
    groups = ZONE_GROUPS if area.zone is not None else DIVISION_GROUPS
    classes = ZONE_CLASSES if area.zone is not None else DIVISION_CLASSES
    gases_told = bool(area.area_gases) or findings.wrong(place, "area_gases")
    for field, value, known in (
        ("gas_group", area.gas_group, groups),
        ("temperature_class", area.temperature_class, classes),
    ):
        if value is not None and value not in known:
            findings.add((place, field), f"{', '.join(known)} where the area is classified in {system}")
        elif value is None and not gases_told:
            findings.add((place, field), f"{', '.join(known)}, or area_gases that decide it")


def _sources(machine: MachineDescription, findings: Findings) -> None:
    for key in machine.sources:
        if not _is_given(key, findings):
            findings.add(
                ("sources", key),
                "the path of a field given in this description, such as pinions[0].journal_diameter",
                found="a path that names none",
            )


def _is_given(path: str, findings: Findings) -> bool:
    if len(path) > 120:
        return False
    location: list[str | int] = []
    for part in path.replace("[", ".[").split("."):
        if part.startswith("[") and part.endswith("]") and part[1:-1].isascii() and part[1:-1].isdigit():
            location.append(int(part[1:-1]))
        elif part.isidentifier():
            location.append(part)
        else:
            return False
    if location[0] in ("sources", "criteria", "format"):
        return False
    return findings.has(tuple(location))


def _overrides(machine: MachineDescription, context: ReadingContext, findings: Findings) -> None:
    for key, override in machine.criteria.items():
        place = ("criteria", key)
        limits = context.criteria.get(key)
        if limits is None:
            close = alternatives(key, context.criteria)
            hint = f"did you mean {close}?" if close else ""
            findings.add(
                place,
                "a criterion of this project (schema criteria lists them)",
                found="no such criterion",
                message=hint,
            )
            continue
        if not override.reason:
            findings.add((*place, "reason"), "the reason for the override, in words")
        value_place = (*place, "value")
        if override.value is None:
            findings.add(value_place, range_text(limits))
            continue
        try:
            override_value(override.value, limits)
        except QuantityError as error:
            findings.add(value_place, range_text(limits), message=error.message)


def range_text(limits: CriterionLimits) -> str:
    """Return the range of an override in words."""
    if limits.choices:
        return ", ".join(limits.choices)
    unit = "" if limits.unit in ("", "1") else f" {limits.unit}"
    number = "a whole number" if limits.whole else "a number"
    if limits.minimum is None and limits.maximum is None:
        return f"{number}{unit and ' in' + unit}"
    if limits.maximum is None:
        return f"{number}, {typed_number(limits.minimum or 0.0)}{unit} or more"
    if limits.minimum is None:
        return f"{number}, {typed_number(limits.maximum)}{unit} or less"
    words = "a whole number from " if limits.whole else ""
    return f"{words}{typed_number(limits.minimum)} to {typed_number(limits.maximum)}{unit}"


def override_value(value: float | str, limits: CriterionLimits) -> float | str:
    """Return an override in the criterion's unit; raise `QuantityError` for one outside its range."""
    if limits.choices:
        if value not in limits.choices:
            raise QuantityError("")
        return value
    if isinstance(value, str):
        if limits.kind is None or limits.unit not in UNITS:
            raise QuantityError("a number, not a text")
        value = parse_quantity(value, limits.kind, limits.unit)
    if limits.whole and value != int(value):
        raise QuantityError("")
    if limits.minimum is not None and value < limits.minimum:
        raise QuantityError("")
    if limits.maximum is not None and value > limits.maximum:
        raise QuantityError("")
    return value
