"""Reading a machine description: from JSON to `MachineDescription`, or every problem at once.

First every field is read by its own type. What could not be read is then taken out, and the checks
between fields run over the rest, so that a wrong unit in one place hides no mistake in another.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from specapp.domain.context import CriterionLimits, GasKind, ReadingContext, gas_key
from specapp.domain.findings import Findings, Location
from specapp.domain.json_document import load_document
from specapp.domain.machine import FORMAT, CriterionOverride, HazardousArea, MachineDescription
from specapp.domain.machine_checks import check_machine
from specapp.domain.machine_schema import machine_schema
from specapp.domain.model_reading import MOST_HINTS, allowed_text, in_document_order, without
from specapp.domain.problems import TABLES, InputErrors
from specapp.domain.reference_checks import check_references, override_value, range_text
from specapp.domain.scalars import Table

__all__ = [
    "CriterionLimits",
    "GasKind",
    "ReadingContext",
    "gas_key",
    "machine_json",
    "machine_schema",
    "read_machine",
]


def read_machine(document: bytes | str | Mapping[str, Any], context: ReadingContext) -> MachineDescription:
    """Return the description a document holds, checked and normalised.

    Quantities become floats in default units, pinions without a name become P1, P2, ..., gases get the
    catalogue's name, overrides the criterion's unit. Raises `InputErrors` with every problem.
    """
    raw, key_problems = load_document(document, FORMAT)
    findings = Findings(raw)
    for place, problem in key_problems:
        findings.add(place, problem.allowed, found=problem.found)
    try:
        machine = MachineDescription.model_validate(raw)
    except ValidationError as error:
        details = error.errors(include_url=False)
        places = _field_problems(details, findings, context)
        machine = MachineDescription.model_validate(without(raw, places, emptied="pinions"))
    check_machine(machine, context, findings)
    check_references(machine, context, findings)
    if findings.located:
        raise InputErrors(in_document_order(findings.located, raw, MachineDescription, TABLES))
    return _normalised(machine, context)


def _normalised(machine: MachineDescription, context: ReadingContext) -> MachineDescription:
    changes: dict[str, Any] = {}
    if not all(pinion.name for pinion in machine.pinions):
        changes["pinions"] = tuple(
            pinion if pinion.name else pinion.model_copy(update={"name": f"P{index}"})
            for index, pinion in enumerate(machine.pinions, start=1)
        )
    if machine.gases:
        changes["gases"] = _gas_names(machine.gases, context)
    if machine.hazardous_area.area_gases:
        names = _gas_names(machine.hazardous_area.area_gases, context)
        changes["hazardous_area"] = machine.hazardous_area.model_copy(update={"area_gases": names})
    if machine.criteria:
        rows = {
            key: CriterionOverride(value=override_value(row.value, context.criteria[key]), reason=row.reason)
            for key, row in machine.criteria.items()
        }
        changes["criteria"] = Table(rows)
    return machine.model_copy(update=changes) if changes else machine


def _gas_names(names: tuple[str, ...], context: ReadingContext) -> tuple[str, ...]:
    known = [gas.name for gas in map(context.gas, names) if gas is not None]
    return tuple(dict.fromkeys(known))


def _field_problems(
    details: list[ErrorDetails], findings: Findings, context: ReadingContext
) -> list[Location]:
    """Record what single fields say is wrong, and return the places to take out."""
    places = []
    for number, detail in enumerate(details):
        place = detail["loc"]
        places.append(place)
        allowed, message = allowed_text(detail, MachineDescription, FORMAT, hint=number < MOST_HINTS)
        if place[:1] == ("criteria",) and place[2:] == ("value",) and place[1] in context.criteria:
            allowed = range_text(context.criteria[str(place[1])])
        findings.add(place, allowed, message=message)
    return places


def machine_json(machine: MachineDescription) -> dict[str, Any]:
    """Return the canonical JSON form: plain numbers in default units, only what was told, in fixed order.

    `read_machine` accepts it again and gives an equal description.
    """
    written = _plain(machine)
    return {"format": FORMAT, **{key: value for key, value in written.items() if key != "format"}}


_WRITTEN_AS_THEY_ARE = frozenset({str, int, bool})


def _plain(value: Any) -> Any:
    """Return a value of the models as plain JSON; most fields are not told and passed over first."""
    kind = type(value)
    if kind is float:
        return int(value) if value.is_integer() else value
    if kind in _WRITTEN_AS_THEY_ARE:
        return value
    if kind is tuple:
        return [_plain(item) for item in value]
    if isinstance(value, BaseModel):
        return (
            "unclassified" if isinstance(value, HazardousArea) and value.unclassified else _rows_told(value)
        )
    return {key: _plain(item) for key, item in value.items()}


def _rows_told(model: BaseModel) -> dict[str, Any]:
    rows: dict[str, Any] = {}
    for name, item in model.__dict__.items():
        if item is None:
            continue
        kind = type(item)
        if kind is float:
            rows[name] = int(item) if item.is_integer() else item
        elif kind in _WRITTEN_AS_THEY_ARE:
            if item != "" and name != "unclassified":
                rows[name] = item
        elif item != ():
            written = _plain(item)
            # A driver of which nothing is known is still a driver; a group without options is no group.
            if written != {} or type(model).model_fields[name].default is None:
                rows[name] = written
    return rows
